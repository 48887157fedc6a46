#include "study/check_free_run.h"

#include <cmath>
#include <fstream>
#include <iterator>
#include <random>

#include "base/tolerance.h"
#include "plan_fixture.h"
#include "study/run_rod.h"

namespace bight::study {
namespace {

// A hook over the middle of X, 1500 mm above the tip's zero, and an anchor on the head beside the
// spindle.
std::string with_hook(const std::string& leg, const std::string& article = "",
                      const std::string& more = "") {
  return small_machine() + R"(
[[support]]
name = "hook"
at = [500, 0, 1500]
max_load = 30
[[anchor]]
name = "head clamp"
body = "head"
at = [0, 50, 600]
[[article]]
name = "cord"
kind = "power"
outside_diameter = 8
mass = 0.1
bend_multiple_moving = 5
)" + article +
         R"(
[[line]]
name = "supply"
article = "cord"
run = "overhead"
[[run]]
name = "overhead"
[[run.leg]]
way = "free"
from = "hook"
to = "head clamp"
)" + leg +
         more;
}

// Farthest: X at either end, Z at -100: sqrt(500^2 + 50^2 + 1000^2).
const double k_farthest = std::sqrt(500.0 * 500.0 + 50.0 * 50.0 + 1000.0 * 1000.0);

TEST(CheckFreeRun, TheFarthestPoseIsACornerOfTheTravel) {
  const StudyResult result = study_text(with_hook("slack_percent = 3\n"));
  ASSERT_EQ(result.free_runs.size(), 1U);
  EXPECT_NEAR(result.free_runs[0].farthest_mm, k_farthest, 1e-9);
  EXPECT_NEAR(result.free_runs[0].nearest_mm, std::hypot(50.0, 900.0), 1e-9);
  EXPECT_GE(result.free_runs[0].min_mm, 1.03 * k_farthest - 1e-6);
}

TEST(CheckFreeRun, ALengthShorterThanTheFarthestDistanceStops) {
  const StudyResult result = study_text(with_hook("length = 1100\n"));
  EXPECT_EQ(result.verdict, Verdict::stop);
  const Finding* finding = find(result, "length window");
  ASSERT_NE(finding, nullptr);
  EXPECT_NE(finding->what.find("does not reach"), std::string::npos) << finding->what;
  EXPECT_EQ(finding->certainty, Certainty::proved);
  EXPECT_NE(finding->advice.find("lengthen to "), std::string::npos);
}

TEST(CheckFreeRun, ALineThatDroopsTooLowIsShortened) {
  const StudyResult result = study_text(with_hook("length = 2100\nkeep_above = 100\n"));
  const Finding* finding = find(result, "length window");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_NE(finding->advice.find("shorten to "), std::string::npos) << finding->advice;
}

TEST(CheckFreeRun, WhenNoLengthWorksTheMoveOfTheHookIsComputedAndHelps) {
  // The head clamp itself goes down to 200 at the deepest pose: a limit of 190 leaves hardly any
  // droop.
  const StudyResult closed = study_text(with_hook("keep_above = 480\nslack_percent = 2\n"));
  EXPECT_EQ(closed.verdict, Verdict::stop);
  const Finding* finding = find(closed, "length window");
  ASSERT_NE(finding, nullptr);
  EXPECT_NE(finding->what.find("no length works"), std::string::npos);
  ASSERT_NE(finding->advice.find("move hook by "), std::string::npos) << finding->advice;
  // Follow the advice: the window opens.
  double distance = 0.0;
  char sign = 0;
  char axis = 0;
  ASSERT_EQ(std::sscanf(finding->advice.c_str(), "move hook by %lf mm towards %c%c", &distance,
                        &sign, &axis),
            3);
  double at[3] = {500, 0, 1500};
  at[axis - 'X'] += sign == '-' ? -distance : distance;
  std::string moved = with_hook("keep_above = 480\nslack_percent = 2\n");
  const std::string old = "at = [500, 0, 1500]";
  moved.replace(moved.find(old), old.size(),
                "at = [" + std::to_string(at[0]) + ", " + std::to_string(at[1]) + ", " +
                    std::to_string(at[2]) + "]");
  EXPECT_LE(study_text(moved).free_runs[0].min_mm, study_text(moved).free_runs[0].max_mm);
}

TEST(CheckFreeRun, APostBesideTheLineIsNoticed) {
  const StudyResult result =
      study_text(with_hook("length = 1180\n", "",
                           "[[part]]\nname = \"post\"\nrole = \"surroundings\"\nshape = "
                           "\"cylinder\"\nat = [250, 45, 400]\nlength = "
                           "900\ndiameter = 20\n"));
  const Finding* finding = find(result, "free line clearance");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->certainty, Certainty::sampled);
  EXPECT_GT(finding->poses, 10U);
  EXPECT_GT(finding->step_mm, 0.0);
  EXPECT_EQ(finding->things[1], "post");
}

TEST(CheckFreeRun, APostOutOfReachIsProvedClear) {
  const StudyResult result =
      study_text(with_hook("length = 1180\n", "",
                           "[[part]]\nname = \"post\"\nrole = \"surroundings\"\nshape = "
                           "\"cylinder\"\nat = [500, 2000, 0]\nlength = "
                           "900\ndiameter = 20\n"));
  EXPECT_EQ(find(result, "free line clearance"), nullptr);
  EXPECT_GE(result.free_runs[0].proved_clear, 1U);
}

TEST(CheckFreeRun, AWeakHookIsNamed) {
  // 10 kg/m: the line alone weighs far more than 30 N.
  std::string plan = with_hook("length = 1180\n");
  plan.replace(plan.find("mass = 0.1"), 10, "mass = 9.9");
  const StudyResult result = study_text(plan);
  const Finding* finding = find(result, "support load");
  ASSERT_NE(finding, nullptr);
  EXPECT_GT(finding->value, 9.9 * 9.80665);
  EXPECT_EQ(finding->limit, 30.0);
}

/// Two points of a carriage and its head 190 mm apart, with a loop that takes up Z.
std::string with_loop(const std::string& length, const std::string& article) {
  return small_machine() + R"(
[[anchor]]
name = "post"
body = "carriage"
at = [0, 100, 600]
[[anchor]]
name = "mast"
body = "head"
at = [0, 290, 650]
[[article]]
name = "cord"
kind = "power"
outside_diameter = 10
mass = 0.17
)" + article +
         R"(
[[line]]
name = "supply"
article = "cord"
run = "loop"
[[run]]
name = "loop"
[[run.leg]]
way = "free"
from = "post"
to = "mast"
length = )" +
         length + "\n";
}

double number_after(const std::string& text, const std::string& before) {
  const std::size_t at = text.find(before);
  return at == std::string::npos ? 0.0 : std::stod(text.substr(at + before.size()));
}

TEST(CheckFreeRun, AStiffLineInAShortLoopBendsTooTightAndTheLengthOfTheAdviceHelps) {
  const std::string article = "bend_multiple_moving = 8\nstiffness = 0.03\n";
  const StudyResult tight = study_text(with_loop("300", article));
  const Finding* finding = find(tight, "line bend");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_LT(finding->value, 85.0);
  EXPECT_EQ(finding->limit, 85.0);  // inner 8 x 10 and half the diameter
  EXPECT_EQ(finding->pose.size(), 2U);
  const double length = number_after(finding->advice, "en it to ");  // shorten, lengthen
  ASSERT_GT(length, 0.0) << finding->advice;
  const StudyResult wide = study_text(with_loop(std::to_string(length), article));
  EXPECT_EQ(find(wide, "line bend"), nullptr);
  EXPECT_GE(wide.free_runs[0].radius_mm, 85.0);
}

TEST(CheckFreeRun, WhatDependsOnAnEstimatedStiffnessAsksForADroopTest) {
  // 10 mm: 0.0196 N m^2 estimated, a third of it at the least. The limit lies between what the line
  // bends to with the one and with the other.
  const std::string wide = "bend_radius_moving = 1\n";
  const double estimated = study_text(with_loop("900", wide)).free_runs[0].radius_mm;
  const double limp =
      study_text(with_loop("900", wide + "stiffness = 0.00655\n")).free_runs[0].radius_mm;
  ASSERT_LT(limp, estimated - 1.0);
  const double inner = 0.5 * (limp + estimated) - 5.0;
  const std::string limit = "bend_radius_moving = " + std::to_string(inner) + "\n";
  const StudyResult result = study_text(with_loop("900", limit));
  EXPECT_EQ(find(result, "line bend"), nullptr);
  const Finding* finding = find(result, "line stiffness");
  ASSERT_NE(finding, nullptr);
  EXPECT_NEAR(finding->value, limp, 1.0);
  EXPECT_NE(finding->advice.find("bight calc droop"), std::string::npos) << finding->advice;
  EXPECT_EQ(find(study_text(with_loop("900", limit + "stiffness = 0.0196\n")), "line stiffness"),
            nullptr);
}

// A cord that leaves its lower end upward with the hook nearly above it has room to neither side in
// its plane: it buckles out of it. The radius in space comes from the spatial rod; held far to the
// side it stays in its plane.
TEST(CheckFreeRun, ACordClampedUprightUnderItsHookBowsOutOfItsPlane) {
  const auto plan = [](double hook) {
    return small_machine() + R"(
[[support]]
name = "hook"
at = [)" + std::to_string(hook) +
           R"(, 0, 1292]
[[anchor]]
name = "head clamp"
body = "head"
at = [0, 120, 600]
direction = [0, 0, 1]
[[article]]
name = "cord"
kind = "power"
outside_diameter = 8
mass = 0.15
stiffness = 0.0117
bend_radius_moving = 40
[[line]]
name = "supply"
article = "cord"
run = "overhead"
[[run]]
name = "overhead"
[[run.leg]]
way = "free"
from = "hook"
to = "head clamp"
length = 1200
)";
  };
  std::string still = plan(0.0);
  const std::string travel = "travel = [0, 1000]";
  still.replace(still.find(travel), travel.size(), "travel = [0, 1]");
  const std::string stops = "stops = [-10, 1010]";
  still.replace(still.find(stops), stops.size(), "");
  const StudyResult result = study_text(still);
  const Finding* finding = find(result, "line sideways");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::note);
  EXPECT_GT(finding->value, 10.0);
  std::string aside = plan(-500.0);
  aside.replace(aside.find(travel), travel.size(), "travel = [0, 1]");
  aside.replace(aside.find(stops), stops.size(), "");
  EXPECT_EQ(find(study_text(aside), "line sideways"), nullptr);
}

// Both ends clamped downward: values by collocation and multiple shooting, which agree to 8e-10.
TEST(CheckFreeRun, AClampedLoopHasTheFiguresOfCollocationAndShooting) {
  const FreeRunFigures run = study_text(small_machine() + R"(
[[anchor]]
name = "left"
at = [0, 0, 1000]
direction = [0, 0, -1]
[[anchor]]
name = "right"
at = [220, 0, 1060]
direction = [0, 0, -1]
[[article]]
name = "cord"
kind = "power"
outside_diameter = 8
mass = 0.085
stiffness = 0.012
bend_radius_moving = 40
[[line]]
name = "supply"
article = "cord"
run = "loop"
[[run]]
name = "loop"
[[run.leg]]
way = "free"
from = "left"
to = "right"
length = 900
)")
                                 .free_runs[0];
  EXPECT_NEAR(run.radius_mm, 112.7302, 0.1);
  EXPECT_NEAR(run.lowest_mm, 1000.0 - 348.8913, 0.3);
  EXPECT_NEAR(run.pull_start_N, std::hypot(0.3635275, 0.3656049), 2e-3);
  EXPECT_NEAR(run.pull_end_N, std::hypot(0.3635275, 0.3846038), 2e-3);
  EXPECT_NEAR(run.moment_start_Nmm, 28.3791, 0.3);
  EXPECT_NEAR(run.moment_end_Nmm, 39.3667, 0.3);
}

// Newton's first law for every free line of the demo plan, each option, at random poses.
TEST(CheckFreeRun, TheSupportsOfTheDemoPlanCarryTheWeightOfTheirLines) {
  std::ifstream file(std::string(BIGHT_SOURCE_DIR) + "/assets/demo/plan.toml");
  const std::string text((std::istreambuf_iterator<char>(file)), {});
  std::mt19937 random(11);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  std::size_t solved = 0;
  for (const char* option : {"in the chains", "hung from the rafter"}) {
    Diagnostics diagnostics;
    const auto plan = plan::read_plan(text, "plan.toml", option, diagnostics);
    ASSERT_TRUE(plan.has_value());
    machine::MeshCache cache;
    const machine::Machine machine = machine::build_machine(*plan, cache, diagnostics);
    const StudyOptions options;
    const Context context{*plan, machine, options};
    for (const FreeRun& run : make_free_runs(context)) {
      const double length = window_of(context, run).length_mm;
      for (const RunRod& line : rods_of(context, run, length)) {
        FreeRunRod rod(run.anchors, line.rod, home_pose(context));
        const Vec3 weight(0.0, 0.0, length / 1000.0 * line.rod.mass_kg_m * k_gravity);
        for (int i = 0; i < 50; ++i) {
          free::Pose pose;
          for (const auto& j : run.anchors.joints) {
            pose.push_back(j.lower + share(random) * (j.upper - j.lower));
          }
          const RodShape shape = rod.solve(pose);
          ASSERT_TRUE(shape.converged()) << run.run->name;
          EXPECT_NEAR(glm::length(shape.start_force_N + shape.end_force_N - weight), 0.0, 1e-6);
          EXPECT_NEAR(glm::length(shape.points.front() - free::start_at(run.anchors, pose)), 0.0,
                      1e-3);
          EXPECT_NEAR(glm::length(shape.points.back() - free::end_at(run.anchors, pose)), 0.0,
                      1e-3);
          ++solved;
        }
      }
    }
  }
  EXPECT_EQ(solved, 300U);
}

TEST(CheckFreeRun, ItsProgressIsCountedBeforeItBeginsAndIsAllDoneAtTheEnd) {
  Progress progress;
  const StudyResult result = study_text(with_hook("length = 1180\n"), "", {.progress = &progress});
  EXPECT_EQ(result.free_runs.size(), 1U);
  EXPECT_EQ(progress.done(), progress.total());
  Progress without;
  study_text(small_machine(), "", {.progress = &without});
  EXPECT_GT(progress.total(), without.total() + 500);  // what hangs is most of the work
}

TEST(CheckFreeRun, TheResultDoesNotDependOnTheThreads) {
  const std::string plan = with_hook("length = 1300\n");
  StudyOptions one;
  one.threads = 1;
  StudyOptions four;
  four.threads = 4;
  const FreeRunFigures a = study_text(plan, "", one).free_runs[0];
  const FreeRunFigures b = study_text(plan, "", four).free_runs[0];
  EXPECT_EQ(a.radius_mm, b.radius_mm);
  EXPECT_EQ(a.radius_pose, b.radius_pose);
  EXPECT_EQ(a.lowest_mm, b.lowest_mm);
  EXPECT_EQ(a.greatest_pull_N, b.greatest_pull_N);
  EXPECT_EQ(a.clearance_mm, b.clearance_mm);
  EXPECT_EQ(a.swing_mm, b.swing_mm);
}

TEST(CheckFreeRun, EveryPoseOfAHangingCordHasAShape) {
  const FreeRunFigures run = study_text(with_hook("length = 1300\n")).free_runs[0];
  EXPECT_EQ(run.not_converged, 0U);
  EXPECT_GT(run.shape_poses, 20U);
  EXPECT_TRUE(run.lowest_is_sampled);
  EXPECT_FALSE(run.stiffness_measured);
}

TEST(CheckFreeRun, AHookCarriesTheLegsOnBothOfItsSides) {
  const auto over_the_hook = [](const std::string& max_load) {
    std::string plan =
        with_hook("length = 1180\n", "", "[[anchor]]\nname = \"outlet\"\nat = [-200, 0, 1500]\n");
    plan.replace(plan.find("max_load = 30"), 13, "max_load = " + max_load);
    plan.insert(plan.find("[[run.leg]]"),
                "[[run.leg]]\nway = \"free\"\nfrom = \"outlet\"\nto = \"hook\"\nlength = 800\n");
    return study_text(plan);
  };
  const StudyResult strong = over_the_hook("1000");
  ASSERT_EQ(strong.free_runs.size(), 2U);
  const double first = strong.free_runs[0].pull_end_N;
  const double second = strong.free_runs[1].pull_start_N;
  EXPECT_EQ(find(strong, "support load"), nullptr);
  // A hook that would carry either leg alone.
  const double limit = 0.5 * (std::max(first, second) + first + second);
  const StudyResult weak = over_the_hook(std::to_string(limit));
  const Finding* finding = find(weak, "support load");
  ASSERT_NE(finding, nullptr);
  EXPECT_NEAR(finding->value, first + second, 1e-9);
}

}  // namespace
}  // namespace bight::study
