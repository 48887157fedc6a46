#include "editor/live.h"

#include "editor_fixture.h"

namespace bight::editor {
namespace {

/// The demo plan with one value changed.
Reading demo(const std::string& option, const std::string& path = {},
             const std::string& value = {}) {
  static machine::MeshCache cache;
  std::string text = text_of(k_demo);
  if (!path.empty()) text = plan::set_value(text, path, value).text;
  return read_model(text, k_demo, option, cache);
}

std::vector<std::string> sentences(const LiveResult& result) {
  std::vector<std::string> all;
  for (const study::Finding& f : result.findings) all.push_back(f.what);
  return all;
}

TEST(LiveCheck, AgreesWithTheFullCheckOnEverythingThatItLooksAt) {
  const Reading reading = demo("hung from the rafter");
  ASSERT_TRUE(reading.model);
  const study::StudyResult full = study::run_study(reading.model->plan, reading.model->machine);
  const LiveResult live = LiveCheck().check(*reading.model);
  ASSERT_EQ(live.clearance.size(), full.clearance.size());
  for (std::size_t i = 0; i < full.clearance.size(); ++i) {
    EXPECT_EQ(live.clearance[i].a, full.clearance[i].a);
    EXPECT_EQ(live.clearance[i].b, full.clearance[i].b);
    EXPECT_EQ(live.clearance[i].lower_mm, full.clearance[i].lower_mm);
    EXPECT_EQ(live.clearance[i].pose, full.clearance[i].pose);
  }
  ASSERT_EQ(live.lines.size(), full.lines.size());
  for (std::size_t i = 0; i < full.lines.size(); ++i) {
    EXPECT_EQ(live.lines[i].cut_mm, full.lines[i].cut_mm);
  }
  ASSERT_EQ(live.free_runs.size(), full.free_runs.size());
  for (std::size_t i = 0; i < full.free_runs.size(); ++i) {
    EXPECT_EQ(live.free_runs[i].farthest_mm, full.free_runs[i].farthest_mm);
    EXPECT_EQ(live.free_runs[i].min_mm, full.free_runs[i].min_mm);
    EXPECT_EQ(live.free_runs[i].max_mm, full.free_runs[i].max_mm);
  }
  // Each live finding is one of the full check, word for word.
  EXPECT_FALSE(live.findings.empty());
  for (const study::Finding& f : live.findings) {
    const bool known = std::any_of(
        full.findings.begin(), full.findings.end(),
        [&](const study::Finding& g) { return g.check == f.check && g.things == f.things; });
    EXPECT_TRUE(known) << f.what;
  }
}

TEST(LiveCheck, WhatItKeptChangesNothing) {
  LiveCheck check;
  const std::pair<const char*, const char*> edits[] = {
      {"support.rafter hook.at", "[760, 470, 1400]"},
      {"part.bench.at", "[50, 50, -600]"},
      {"part.Z motor.minimum_clearance", "400"},
      {"chain.X chain.room", "90"},
      {"joint.X.travel", "[0, 1100]"},
      {"rules.minimum_clearance", "12"},
      {"chain.X chain.may_touch", "[]"},
      {"anchor.post.direction", "[0, 0.3, 1]"},
      {"leg", ""}};
  std::size_t changed = 0;
  std::vector<std::string> last;
  for (const auto& [path, value] : edits) {
    const bool plain = std::string(value).empty();
    const Reading reading = demo("hung from the rafter", plain ? "" : path, value);
    ASSERT_TRUE(reading.model) << path;
    const LiveResult kept = check.check(*reading.model);
    const LiveResult fresh = LiveCheck().check(*reading.model);
    EXPECT_EQ(sentences(kept), sentences(fresh)) << path;
    ASSERT_EQ(kept.clearance.size(), fresh.clearance.size()) << path;
    for (std::size_t i = 0; i < fresh.clearance.size(); ++i) {
      EXPECT_EQ(kept.clearance[i].lower_mm, fresh.clearance[i].lower_mm);
      EXPECT_EQ(kept.clearance[i].wanted_mm, fresh.clearance[i].wanted_mm);
    }
    changed += sentences(kept) != last ? 1U : 0U;
    last = sentences(kept);
  }
  EXPECT_GT(changed, 4U);  // the edits do change verdicts
}

TEST(LiveCheck, ComputesOnlyWhatAnEditTouches) {
  LiveCheck check;
  const LiveResult first = check.check(*demo("").model);
  EXPECT_GT(first.pairs_computed, 1000U);
  EXPECT_GT(first.runs_computed, 0U);
  const LiveResult hook = check.check(*demo("", "support.hose hook.at", "[650, 430, 1500]").model);
  EXPECT_EQ(hook.pairs_computed, 0U);
  EXPECT_EQ(hook.runs_computed, 1U);
  check.check(*demo("").model);
  const LiveResult part = check.check(*demo("", "part.cabinet.at", "[1900, 300, -100]").model);
  EXPECT_GT(part.pairs_computed, 0U);
  EXPECT_LT(part.pairs_computed, 200U);
  EXPECT_EQ(part.runs_computed, 0U);
}

TEST(LiveCheck, LeavesSupportsThatMoveByThemselvesToTheFullCheck) {
  machine::MeshCache cache;
  const std::string file = BIGHT_SOURCE_DIR "/assets/demo/overhead.toml";
  const Reading reading = read_model(text_of(file), file, "trolley", cache);
  ASSERT_TRUE(reading.model);
  const LiveResult before = LiveCheck().check(*reading.model);
  EXPECT_FALSE(before.left_out.empty());
  EXPECT_FALSE(before.unknown_lengths.empty());
  for (const study::LineFigures& line : before.lines) {
    EXPECT_EQ(std::count(before.unknown_lengths.begin(), before.unknown_lengths.end(), line.name),
              0);
  }
  const study::StudyResult full = study::run_study(reading.model->plan, reading.model->machine);
  const LiveResult after = LiveCheck().check(*reading.model, 0, &full);
  EXPECT_TRUE(after.unknown_lengths.empty());
  ASSERT_EQ(after.lines.size(), full.lines.size());
  for (std::size_t i = 0; i < full.lines.size(); ++i) {
    EXPECT_EQ(after.lines[i].cut_mm, full.lines[i].cut_mm);
  }
}

TEST(LiveCheck, DoesNotDependOnTheThreads) {
  const Reading reading = demo("plug at the head");
  EXPECT_EQ(sentences(LiveCheck().check(*reading.model, 1)),
            sentences(LiveCheck().check(*reading.model, 4)));
}

}  // namespace
}  // namespace bight::editor
