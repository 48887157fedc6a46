// Suggestions on small plans whose mending is known by hand, and what is written of them.

#include "study/suggest.h"

#include <algorithm>

#include "plan_fixture.h"

namespace bight::study {
namespace {

Suggestion suggest_text(const std::string& text, const SuggestOptions& options = {}) {
  return suggest(text, "test.toml", "base", options);
}

/// For messages: what is left to do.
std::string left(const Suggestion& s) {
  std::string text;
  for (const Finding& f : s.after.findings) text += f.check + ": " + f.what + "\n";
  return text;
}

/// The check of the new option in the text that would be written.
StudyResult written(const Suggestion& s) {
  return study_text(s.text, s.name);
}

const PlanChange* change(const Suggestion& s, const std::string& path) {
  const auto found = std::find_if(s.changes.begin(), s.changes.end(),
                                  [&](const PlanChange& c) { return c.path == path; });
  return found == s.changes.end() ? nullptr : &*found;
}

const char* const k_cable = R"(
[[article]]
name = "cable"
kind = "power"
outside_diameter = 10
mass = 0.2
bend_radius_moving = 60
bend_radius_fixed = 40
cores = 3
core_area = 1.5
)";

/// A cord from a hook over the middle of the travel to a boss on top of the spindle.
std::string hung(const std::string& hook, const std::string& leg) {
  return small_machine() + k_cable + R"(
[[anchor]]
name = "boss"
body = "head"
at = [0, 0, 310]
[[support]]
name = "hook"
at = )" + hook +
         "\n[[run]]\nname = \"overhead\"\n[[run.leg]]\nway = \"free\"\nfrom = \"hook\"\n"
         "to = \"boss\"\nmay_touch = [\"spindle\"]\n" +
         leg + "\n[[line]]\nname = \"cord\"\narticle = \"cable\"\nrun = \"overhead\"\n";
}

/// A cord through a chain along X; its moving bracket is at the given height.
std::string chained(const std::string& height, const std::string& chain,
                    const std::string& more = "") {
  return small_machine() + k_cable + R"(
[[chain]]
name = "chain"
moving_body = "carriage"
fixed_at = [500, 300, 0]
opens = [-1, 0, 0]
pitch = 40
inner_width = 60
inner_height = 30
outer_width = 70
outer_height = 40
mass = 1.0
moving_at = [0, 300, )" +
         height + "]\n" + chain + R"(
[[run]]
name = "chained"
[[run.leg]]
way = "fixed"
body = "ground"
points = [[900, 300, 0], [500, 300, 0]]
[[run.leg]]
way = "chain"
chain = "chain"
[[run.leg]]
way = "fixed"
body = "carriage"
points = [[0, 300, )" +
         height + "], [0, 400, " + height + R"(]]
[[line]]
name = "cord"
article = "cable"
run = "chained"
)" + more;
}

TEST(Suggest, AClearOptionNeedsNothing) {
  const Suggestion s = suggest_text(hung("[500, 0, 1500]", ""));
  EXPECT_EQ(s.status, SuggestStatus::clear_already);
  EXPECT_TRUE(s.changes.empty());
  EXPECT_TRUE(s.text.empty());
}

TEST(Suggest, ALengthThatIsTooShortIsCutToTheLeastThatStandsATape) {
  // Farthest: X 500 off, Z 1290 lower: 1383.5 mm, with 2 % of slack 1411.2 mm,
  // and 10 mm that a tape may be off.
  const Suggestion s = suggest_text(hung("[500, 0, 1500]", "length = 1390"));
  ASSERT_EQ(s.status, SuggestStatus::clear) << left(s);
  ASSERT_EQ(s.changes.size(), 1U);
  EXPECT_EQ(s.changes[0].path, "run.overhead.leg.1.length");
  EXPECT_EQ(s.changes[0].value, "1430");
  EXPECT_EQ(written(s).verdict, Verdict::clear);
}

TEST(Suggest, AHookOutsideTheTravelIsMovedUnderTheCeilingUntilALengthWorks) {
  const std::string text =
      hung("[-900, 0, 1000]", "keep_above = 150") +
      "[[part]]\nname = \"ceiling\"\nrole = \"surroundings\"\nat = [-2000, -2000, 1600]\n"
      "size = [5000, 4000, 20]\n";
  ASSERT_EQ(study_text(text).verdict, Verdict::stop);
  const Suggestion s = suggest_text(text);
  ASSERT_EQ(s.status, SuggestStatus::clear) << left(s);
  ASSERT_NE(change(s, "support.hook.at"), nullptr);
  const StudyResult result = written(s);
  EXPECT_EQ(result.verdict, Verdict::clear);
  ASSERT_EQ(result.free_runs.size(), 1U);
  EXPECT_GE(result.free_runs[0].max_mm - result.free_runs[0].min_mm, 20.0);
}

TEST(Suggest, TheClippedLegFollowsItsBracketAndStaysAlongTheAxes) {
  std::string text = hung("[-900, 0, 1000]", "keep_above = 150") +
                     "[[part]]\nname = \"ceiling\"\nrole = \"surroundings\"\n"
                     "at = [-2000, -2000, 1600]\nsize = [5000, 4000, 20]\n";
  const std::string leg = "[[run.leg]]\nway = \"free\"";
  text.replace(text.find(leg), leg.size(),
               "[[run.leg]]\nway = \"fixed\"\nbody = \"ground\"\nbend_radius = 50\n"
               "points = [[-1500, 0, 0], [-1500, 0, 1000], [-900, 0, 1000]]\n" +
                   leg);
  const Suggestion s = suggest_text(text);
  ASSERT_EQ(s.status, SuggestStatus::clear) << left(s);
  Diagnostics diagnostics;
  const auto plan = plan::read_plan(s.text, "test.toml", s.name, diagnostics);
  ASSERT_TRUE(plan);
  const std::vector<Vec3>& points = plan->runs[0].legs[0].points;
  const Vec3 hook = plan->supports[0].at;
  ASSERT_EQ(points.size(), 3U);
  EXPECT_EQ(points[0], Vec3(-1500, 0, 0)) << "its other end is held elsewhere";
  EXPECT_NEAR(glm::length(points[2] - hook), 0.0, 1e-9);
  EXPECT_NEAR(points[1].z, hook.z, 1e-9) << "the level stretch is still level";
  EXPECT_EQ(points[1].x, -1500.0);
}

TEST(Suggest, AChainThatIsTooShortGetsTheFewestLinksThatReach) {
  // 500 + pi 100 = 814.2 mm: 21 links of 40 mm.
  const Suggestion s = suggest_text(chained("200", "bend_radius = 100\nlinks = 15"));
  ASSERT_EQ(s.status, SuggestStatus::clear) << left(s);
  ASSERT_NE(change(s, "chain.chain.links"), nullptr);
  EXPECT_EQ(change(s, "chain.chain.links")->value, "21");
  EXPECT_EQ(written(s).verdict, Verdict::clear);
}

TEST(Suggest, ABracketAtTheWrongHeightIsMovedToTwiceTheBendRadius) {
  const Suggestion s = suggest_text(chained("140", "bend_radius = 100"));
  ASSERT_EQ(s.status, SuggestStatus::clear) << left(s);
  ASSERT_NE(change(s, "chain.chain.moving_at"), nullptr);
  EXPECT_EQ(change(s, "chain.chain.moving_at")->value, "[0, 300, 200]");
}

TEST(Suggest, ABendThatIsTooTightTakesALargerRadiusWithItsBracket) {
  // Inner radius 55 - 5 = 50 mm against 60 mm: R = 65, the runs 130 mm apart.
  const Suggestion s = suggest_text(chained("110", "bend_radius = 55"));
  ASSERT_EQ(s.status, SuggestStatus::clear) << left(s);
  ASSERT_NE(change(s, "chain.chain.bend_radius"), nullptr);
  EXPECT_EQ(change(s, "chain.chain.bend_radius")->value, "65");
  ASSERT_NE(change(s, "chain.chain.moving_at"), nullptr);
  EXPECT_EQ(change(s, "chain.chain.moving_at")->value, "[0, 300, 130]");
  EXPECT_EQ(written(s).verdict, Verdict::clear);
}

TEST(Suggest, AnotherArticleOfThePlanComesBeforeALargerChain) {
  const Suggestion s = suggest_text(
      chained("110", "bend_radius = 55",
              "[[article]]\nname = \"supple\"\nkind = \"power\"\noutside_diameter = 9\n"
              "mass = 0.2\nbend_radius_moving = 45\ncores = 3\ncore_area = 1.5\n"));
  ASSERT_EQ(s.status, SuggestStatus::clear) << left(s);
  ASSERT_EQ(s.changes.size(), 1U);
  EXPECT_EQ(s.changes[0].path, "line.cord.article");
  EXPECT_EQ(s.changes[0].value, "\"supple\"");
}

TEST(Suggest, AVoltageDropTakesTheNextConductorThatDoes) {
  std::string text = hung("[500, 0, 1500]", "");
  text += "[line.circuit]\nsystem = \"dc\"\nvoltage = 24\ncurrent = 10\nmax_drop_percent = 1\n";
  const StudyResult before = study_text(text);
  ASSERT_EQ(before.verdict, Verdict::act);
  const Suggestion s = suggest_text(text);
  ASSERT_EQ(s.status, SuggestStatus::clear) << left(s);
  ASSERT_NE(change(s, "article.cable.core_area"), nullptr);
  // 1.42 m out and back at 10 A and 70 deg C: 9.55 mohm/m of 2.5 mm^2 lose 1.13 % of 24 V,
  // 5.92 mohm/m of 4 mm^2 0.70 % (IEC 60228, class 5).
  EXPECT_EQ(change(s, "article.cable.core_area")->value, "4");
  EXPECT_LE(written(s).lines[0].drop->drop_percent, 1.0);
}

TEST(Suggest, AClampInTheWayIsMovedByWhatIsMissing) {
  // The spindle, 60 mm wide along Y at 0, passes at 30 mm; the box begins at 32 mm: 3 mm missing.
  const Suggestion s =
      suggest_text(small_machine() +
                   "[[part]]\nname = \"cabinet\"\nrole = \"surroundings\"\nat = [200, 32, 0]\n"
                   "size = [100, 100, 300]\n");
  ASSERT_EQ(s.status, SuggestStatus::clear) << left(s);
  ASSERT_EQ(s.changes.size(), 1U);
  EXPECT_EQ(s.changes[0].path, "part.cabinet.at");
  // The facets of a cylinder lie up to 0.05 mm outside of it: the next whole mm.
  EXPECT_EQ(s.changes[0].value, "[200, 36, 0]");
}

TEST(Suggest, ASwitchInsideTheTravelIsMovedOut) {
  const Suggestion s = suggest_text(
      small_machine() +
      "[[switch]]\nname = \"X plus\"\njoint = \"X\"\nend = \"high\"\nbody = \"ground\"\n"
      "at = [1045, 0, 500]\nradius = 5\nactuator_body = \"carriage\"\n"
      "actuator_at = [0, -10, 480]\nactuator_size = [50, 20, 40]\n");
  ASSERT_EQ(s.before.verdict, Verdict::stop);
  ASSERT_EQ(s.status, SuggestStatus::clear) << left(s);
  EXPECT_NE(change(s, "switch.X plus.at"), nullptr);
  EXPECT_EQ(written(s).verdict, Verdict::clear);
}

TEST(Suggest, SeveralFindingsAreMendedTogether) {
  std::string text = chained("110", "bend_radius = 55\nlinks = 10",
                             "[[part]]\nname = \"cabinet\"\nrole = \"surroundings\"\n"
                             "at = [200, 32, 0]\nsize = [100, 100, 300]\n");
  const Suggestion s = suggest_text(text);
  ASSERT_EQ(s.status, SuggestStatus::clear) << left(s);
  EXPECT_NE(change(s, "chain.chain.bend_radius"), nullptr);
  EXPECT_NE(change(s, "part.cabinet.at"), nullptr);
  EXPECT_EQ(written(s).verdict, Verdict::clear);
}

TEST(Suggest, WhatNoChangeMendsIsSaidWithWhatWasTried) {
  // The hard stops leave no travel to the area.
  const Suggestion s = suggest_text(
      small_machine() + "[[work_area]]\nname = \"far\"\nfrom = [0, 0, 0]\nto = [1500, 0, 50]\n");
  EXPECT_EQ(s.status, SuggestStatus::nothing);
  EXPECT_TRUE(s.text.empty());
  ASSERT_EQ(s.trials.size(), 1U);
  EXPECT_FALSE(s.trials[0].solved);
  EXPECT_EQ(s.trials[0].check, "reach");
}

TEST(Suggest, TravelGrowsOnlyWithinTheHardStops) {
  const Suggestion s = suggest_text(
      small_machine() + "[[work_area]]\nname = \"near\"\nfrom = [0, 0, 0]\nto = [1005, 0, 50]\n");
  ASSERT_EQ(s.status, SuggestStatus::clear) << left(s);
  ASSERT_EQ(s.changes.size(), 1U);
  EXPECT_EQ(s.changes[0].path, "joint.X.travel");
  EXPECT_EQ(s.changes[0].value, "[0, 1005]");
}

TEST(Suggest, TheFileKeepsItsTextAndGetsOneOptionMore) {
  const std::string text = "# measured on a Sunday\n" +
                           hung("[500, 0, 1500]", "length = 1390 # left over") +
                           "[[option]]\nname = \"short\"\n[option.set]\n"
                           "\"line.cord.termination_end\" = 50 # the plug\n";
  const Suggestion s = suggest(text, "test.toml", "short");
  ASSERT_EQ(s.status, SuggestStatus::clear) << left(s);
  EXPECT_EQ(s.text.substr(0, text.size()), text);
  EXPECT_NE(s.text.find("\"line.cord.termination_end\" = 50\n", text.size()), std::string::npos)
      << "what the option set before is set in the new one, too";
  EXPECT_EQ(s.name, "short, changed");
  // Its name is taken the next time.
  EXPECT_EQ(suggest(s.text, "test.toml", "short").name, "short, changed 2");
}

TEST(Suggest, SaysTheSameForAnyNumberOfThreads) {
  const std::string text = hung("[-900, 0, 1000]", "keep_above = 150");
  const Suggestion one = suggest_text(text, {.study = {.threads = 1}});
  const Suggestion four = suggest_text(text, {.study = {.threads = 4}});
  EXPECT_EQ(one.text, four.text);
  EXPECT_EQ(one.checks, four.checks);
  EXPECT_FALSE(one.text.empty());
}

TEST(Suggest, CanBeCancelled) {
  Progress progress;
  progress.cancel();
  const Suggestion s =
      suggest_text(hung("[500, 0, 1500]", "length = 1390"), {.study = {.progress = &progress}});
  EXPECT_EQ(s.status, SuggestStatus::cancelled);
  EXPECT_TRUE(s.text.empty());
}

TEST(Suggest, APlanWithErrorsOrWithoutTheOptionIsToldFrom) {
  EXPECT_EQ(suggest_text("format = 2\n").status, SuggestStatus::unusable);
  const Suggestion s = suggest(small_machine(), "test.toml", "none");
  EXPECT_EQ(s.status, SuggestStatus::unusable);
  EXPECT_NE(s.problem.find("none"), std::string::npos);
}

}  // namespace
}  // namespace bight::study
