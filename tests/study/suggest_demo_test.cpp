// The demo plans broken in ways that people break plans; each has a change that mends it, and what
// is proposed is checked again from the text that would be written.

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "base/file.h"
#include "base/tolerance.h"
#include "plan/patch.h"
#include "plan_fixture.h"
#include "study/suggest.h"
#include "study/suggest_candidate.h"
#include "study/suggest_screen.h"

namespace bight::study {
namespace {

struct Broken {
  const char* name;
  const char* file;
  const char* option;
  std::vector<plan::PathValue> sets;
  const char* changes;  ///< a path that the mending goes by; empty: any
};

std::string text_of(const Broken& broken) {
  const FileText file =
      read_file(std::string(BIGHT_SOURCE_DIR) + "/assets/demo/" + broken.file, k_plan_bytes_limit);
  std::string text = file.text.value_or("");
  for (const plan::PathValue& set : broken.sets) {
    const plan::Patched patched = plan::set_value(text, set.path, set.value);
    EXPECT_EQ(patched.problem, "") << broken.name;
    text = patched.text;
  }
  return text;
}

const std::vector<Broken>& broken_plans() {
  static const std::vector<Broken> k_plans = {
      {"post too near to the head",
       "moving-table.toml",
       "base",
       {{"part.cable post.at", "[-80, 104, 310]"},
        {"anchor.post.at", "[-55, 112, 455]"},
        {"run.to the head.leg.3.points",
         "[[70, 214, 455], [175, 214, 455], [175, 112, 455], [-55, 112, 455]]"}},
       "part.cable post.at"},
      {"post too short",
       "moving-table.toml",
       "base",
       {{"part.cable post.size", "[15, 18, 85]"},
        {"anchor.post.at", "[-135, 112, 395]"},
        {"run.to the head.leg.3.points",
         "[[70, 214, 455], [175, 214, 455], [175, 112, 455], [-135, 112, 395]]"}},
       "part.cable post.size"},
      {"mast too short",
       "moving-table.toml",
       "base",
       {{"part.mast.length", "60"},
        {"anchor.head loop.at", "[52, 90, 440]"},
        {"run.to the head.leg.5.points", "[[52, 90, 440], [52, 90, 400]]"}},
       "part.mast.length"},
      {"loop held too low on the mast",
       "moving-table.toml",
       "base",
       {{"anchor.head loop.at", "[52, 90, 420]"},
        {"run.to the head.leg.5.points", "[[52, 90, 420], [52, 90, 400]]"}},
       "anchor.head loop.at"},
      {"loop too long",
       "moving-table.toml",
       "base",
       {{"run.to the head.leg.4.length", "600"}},
       "run.to the head.leg.4.length"},
      {"chain radius too small",
       "moving-table.toml",
       "base",
       {{"chain.X chain.bend_radius", "50"}},
       "chain.X chain.bend_radius"},
      {"chain too narrow",
       "moving-table.toml",
       "base",
       {{"chain.X chain.inner_width", "50"}, {"chain.X chain.outer_width", "60"}},
       "chain.X chain.inner_width"},
      {"too few links",
       "moving-table.toml",
       "base",
       {{"chain.X chain.links", "14"}},
       "chain.X chain.links"},
      {"switch too late",
       "moving-table.toml",
       "base",
       {{"switch.Y plus.at", "[250, 12, -50]"}},
       "switch.Y plus.at"},
      {"table travels past its switch",
       "moving-table.toml",
       "base",
       {{"joint.Y.travel", "[0, 300]"}, {"joint.Y.stops", "[-6, 306]"}},
       ""},
      {"strap in the way",
       "moving-table.toml",
       "base",
       {{"part.strap right.size", "[45, 30, 135]"}},
       ""},
      {"travel short of the work",
       "moving-table.toml",
       "base",
       {{"joint.X.travel", "[0, 300]"}},
       "joint.X.travel"},
      {"anchor below the end of its clipped leg",
       "plan.toml",
       "base",
       {{"anchor.post.at", "[-170, 79, 500]"}, {"part.cable post.size", "[20, 17.5, 170]"}},
       ""},
      {"bracket too low",
       "plan.toml",
       "base",
       {{"chain.X chain.moving_at", "[50, 187, 530]"}},
       "chain.X chain.moving_at"},
      {"dust shoe too low",
       "plan.toml",
       "base",
       {{"part.dust shoe.at", "[0, -10, 130]"}},
       "part.dust shoe.at"},
      {"cabinet in the way",
       "plan.toml",
       "base",
       {{"part.cabinet.at", "[1300, 300, -100]"}},
       "part.cabinet.at"},
      {"hook too low",
       "plan.toml",
       "hung from the rafter",
       {{"support.rafter hook.at", "[760, 470, 1100]"}},
       "support.rafter hook.at"},
      {"bracket too near and low",
       "plan.toml",
       "plug at the head",
       {{"anchor.wall bracket.at", "[-600, 400, 900]"}},
       "anchor.wall bracket.at"},
      {"cord too long", "inch.toml", "base", {{"run.from above.leg.2.length", "90"}}, ""},
      {"inch mast too short",
       "inch.toml",
       "base",
       {{"part.mast.length", "2"},
        {"anchor.mast top.at", "[3.5, 4.2, 16.5]"},
        {"run.from above.leg.3.points", "[[3.5, 4.2, 16.5], [3.5, 4.2, 16]]"}},
       ""},
      {"row of loops too low",
       "overhead.toml",
       "row of loops",
       {{"support.loops on the beam.at", "[-300, 300, 400]"},
        {"anchor.tow on the carriage.at", "[80, 300, 400]"}},
       ""},
      {"track too short",
       "overhead.toml",
       "trolley",
       {{"support.rail.range", "[0, 400]"}},
       "support.rail.range"},
      {"drop too short",
       "overhead.toml",
       "weighted pulley",
       {{"support.weighted pulley.drop", "[100, 300]"}},
       "support.weighted pulley.drop"},
  };
  return k_plans;
}

/// For messages: what is left to do and what was changed.
std::string told(const Suggestion& s) {
  std::string text;
  for (const PlanChange& c : s.changes) text += c.path + " = " + c.value + ": " + c.what + "\n";
  for (const Finding& f : s.after.findings) text += f.check + ": " + f.what + "\n";
  return text;
}

class SuggestOnDemo : public ::testing::TestWithParam<std::size_t> {};

TEST_P(SuggestOnDemo, TurnsABrokenPlanClear) {
  const Broken& broken = broken_plans()[GetParam()];
  const std::string text = text_of(broken);
  const std::string option = std::string(broken.option) == "base" ? "" : broken.option;
  ASSERT_NE(study_text(text, option).verdict, Verdict::clear) << broken.name << " is not broken";
  const Suggestion s = suggest(text, broken.file, broken.option);
  ASSERT_EQ(s.status, SuggestStatus::clear) << broken.name << "\n" << told(s);
  EXPECT_EQ(study_text(s.text, s.name).verdict, Verdict::clear) << broken.name;
  if (std::string(broken.changes).empty()) return;
  const bool by_it = std::any_of(s.changes.begin(), s.changes.end(), [&](const PlanChange& change) {
    return change.path == broken.changes;
  });
  EXPECT_TRUE(by_it) << broken.name << "\n" << told(s);
}

INSTANTIATE_TEST_SUITE_P(BrokenPlans, SuggestOnDemo,
                         ::testing::Range(std::size_t{0}, broken_plans().size()));

TEST(SuggestScreen, SaysOfACandidateWhatTheFullCheckSays) {
  // Of six plans, every second candidate of the first findings; some are better, some are not.
  std::size_t better = 0;
  std::size_t looked_at = 0;
  for (const std::size_t index : std::array<std::size_t, 6>{2, 6, 10, 12, 13, 14}) {
    const Broken& broken = broken_plans()[index];
    const std::string text = text_of(broken);
    const VariantSource source{text, broken.file, "tried", {}};
    machine::MeshCache cache;
    Diagnostics diagnostics;
    auto draft = read_draft(source, "", cache, diagnostics);
    ASSERT_TRUE(draft) << broken.name;
    const Variant now = checked(std::move(*draft), {});
    const StudyOptions options{.findings_only = true};
    const Context context{now.draft.plan, now.draft.machine, options, LengthUnit::mm};
    for (std::size_t f = 0; f < now.result.findings.size() && f < 2; ++f) {
      const Candidates candidates = candidates_for(context, now.result, now.result.findings[f]);
      for (std::size_t i = 0; i < candidates.size(); i += 2) {
        std::vector<plan::PathValue> overrides;
        for (const PlanChange& c : candidates[i].changes) overrides.push_back({c.path, c.value});
        auto changed = make_draft(source, overrides, cache);
        if (!changed) continue;
        const Score before = score_of(now.result.findings);
        const auto screened =
            screen(now, *changed, candidates[i].changes, before, {.findings_only = true});
        const Score full = score_of(checked(std::move(*changed), {}).result.findings);
        ASSERT_EQ(screened.has_value(), full < before)
            << broken.name << ": " << candidates[i].changes.front().what;
        if (screened) {
          EXPECT_EQ(*screened, full) << candidates[i].changes.front().what;
          ++better;
        }
        ++looked_at;
      }
    }
  }
  EXPECT_GT(better, 2U);
  EXPECT_GT(looked_at - better, 5U) << "some have to be refused";
}

TEST(FindingsOnly, LeavesOutAdviceAndNothingElse) {
  for (const Broken& broken : broken_plans()) {
    const std::string text = text_of(broken);
    Diagnostics diagnostics;
    const std::string option = std::string(broken.option) == "base" ? "" : broken.option;
    const auto plan = plan::read_plan(text, broken.file, option, diagnostics);
    ASSERT_TRUE(plan) << broken.name;
    machine::MeshCache cache;
    const machine::Machine machine = machine::build_machine(*plan, cache, diagnostics);
    if (std::string(broken.file) == "overhead.toml") continue;  // slow, and checked like the others
    const StudyResult full = run_study(*plan, machine, {});
    const StudyResult brief = run_study(*plan, machine, {.findings_only = true});
    EXPECT_EQ(full.verdict, brief.verdict) << broken.name;
    ASSERT_EQ(full.findings.size(), brief.findings.size()) << broken.name;
    for (std::size_t i = 0; i < full.findings.size(); ++i) {
      EXPECT_EQ(full.findings[i].what, brief.findings[i].what);
      EXPECT_EQ(full.findings[i].severity, brief.findings[i].severity);
      EXPECT_EQ(full.findings[i].value, brief.findings[i].value);
      EXPECT_FALSE(full.findings[i].advice.empty()) << full.findings[i].what;
    }
  }
}

}  // namespace
}  // namespace bight::study
