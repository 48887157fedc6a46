#include "study/check_chain_shape.h"

#include <numbers>

#include "base/number.h"
#include "base/tolerance.h"
#include "plan_fixture.h"

namespace bight::study {
namespace {

// A chain on X: travel 1000, fixed bracket at mid travel, R = 60, empty, 0.6 kg/m. `normal` is from
// the fixed bracket to the moving one.
std::string with_chain(const std::string& more = "", const std::string& moving_at = "[0, 300, 520]",
                       const std::string& opens = "[1, 0, 0]") {
  return small_machine() + R"(
[[chain]]
name = "X chain"
moving_body = "carriage"
fixed_at = [500, 300, 400]
bend_radius = 60
pitch = 20
inner_width = 40
inner_height = 20
outer_width = 52
outer_height = 28
mass = 0.6
load_span = [[0.1, 1200], [1.0, 600]]
)" +
         "moving_at = " + moving_at + "\nopens = " + opens + "\n" + more + "\n";
}

ChainShapeFigures shape_of(const StudyResult& result) {
  EXPECT_EQ(result.chains.size(), 1U);
  EXPECT_TRUE(result.chains.front().shape.has_value());
  return *result.chains.front().shape;
}

TEST(CheckChainShape, AWellSetChainKeepsToItsLoopAndHasTheForcesOfStatics) {
  const StudyResult result = study_text(with_chain());
  EXPECT_EQ(find(result, "chain shape"), nullptr);
  EXPECT_EQ(find(result, "chain sag"), nullptr);
  const ChainShapeFigures shape = shape_of(result);
  EXPECT_EQ(shape.remark, "");
  EXPECT_GT(shape.poses, 10U);
  EXPECT_GT(shape.step_mm, 0.0);
  const double w = 0.6 * k_gravity / 1000.0;
  // Derived: pull w R, floor force w l/2 + pi R w with the longest run l.
  EXPECT_NEAR(shape.pull_N, w * 60.0, 1e-9);
  EXPECT_NEAR(shape.floor_force_N,
              w * (0.5 * result.chains[0].loop.longest_straight_mm + std::numbers::pi * 60.0),
              1e-9);
  EXPECT_NEAR(shape.sag_mm, 0.0, 1e-9);
  EXPECT_NEAR(shape.gap_mm, 120.0, 1e-9);
  EXPECT_NEAR(shape.loop_room_mm, result.chains[0].loop.loop_room_mm, 1e-9);
}

TEST(CheckChainShape, ASagBeyondTheProvedRoomIsAFinding) {
  const StudyResult result = study_text(with_chain("back_bend_radius = 3000"));
  const Finding* finding = find(result, "chain shape");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_EQ(finding->certainty, Certainty::sampled);
  EXPECT_GT(finding->poses, 10U);
  EXPECT_NEAR(finding->pose[0], 0.0, 1e-9);  // where the upper run is longest
  // About the sag of an arc, l^2 / (8 r).
  const double run = result.chains[0].loop.longest_straight_mm;
  EXPECT_NEAR(finding->value, run * run / 24000.0, 0.1 * finding->value);
  EXPECT_EQ(find(result, "chain sag"), nullptr);
  EXPECT_NE(finding->advice.find("more than the wanted clearance"), std::string::npos);
}

// A run whose sag takes it just inside what its clearances are proved for is looked at more closely
// than one with room to spare.
TEST(CheckChainShape, WhereLittleIsLeftOfALimitPosesAreCloser) {
  const StudyResult sags = study_text(with_chain("back_bend_radius = 3000"));
  const Finding* finding = find(sags, "chain shape");
  ASSERT_NE(finding, nullptr);
  const double limit = finding->limit;
  const auto shape_with = [limit](double left_mm) {
    double radius = 3000.0;
    ChainShapeFigures shape;
    for (int i = 0; i < 5; ++i) {  // its sag is about as 1 / radius
      shape = shape_of(study_text(with_chain("back_bend_radius = " + fixed(radius, 9))));
      radius *= shape.strays_mm / (limit - left_mm);
    }
    EXPECT_NEAR(shape.strays_mm, limit - left_mm, 1e-4);
    EXPECT_TRUE(shape.settled);
    return shape;
  };
  EXPECT_GT(shape_with(0.001).poses, shape_with(0.5).poses);
}

TEST(CheckChainShape, ARunThatComesDownSaysHowLongItMayStretch) {
  const StudyResult result = study_text(with_chain("back_bend_radius = 300"));
  const Finding* finding = find(result, "chain sag");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_NEAR(finding->value, 92.0, 1e-6);  // 2 R less the outer height
  EXPECT_NEAR(finding->limit, 92.0, 1e-9);
  EXPECT_NE(finding->advice.find("stretch freely"), std::string::npos) << finding->advice;
  EXPECT_GT(shape_of(result).on_itself_mm, 0.0);
  // The advice holds: a chain whose run is never longer than that stays off its lower run.
  const std::string& advice = finding->advice;
  const double free_run = std::stod(advice.substr(advice.find("than ") + 5));
  EXPECT_GT(free_run, 300.0);
  EXPECT_LT(free_run, result.chains[0].loop.longest_straight_mm);
}

TEST(CheckChainShape, WithoutATrayTheFixedBracketHoldsTheLowerRun) {
  const ChainShapeFigures on_tray = shape_of(study_text(with_chain()));
  const StudyResult result = study_text(with_chain("tray = false"));
  const ChainShapeFigures shape = shape_of(result);
  EXPECT_NEAR(on_tray.bracket_moment_Nmm, 0.0, 1e-9);
  EXPECT_GT(on_tray.floor_force_N, 0.0);
  EXPECT_EQ(shape.floor_force_N, 0.0);
  // At the far end the lower run l sticks out farthest and carries bend and half the upper run:
  // w l^2/2 + l (w pi R + w u/2).
  const double w = 0.6 * k_gravity / 1000.0;
  const chain::LoopPose& far = result.chains[0].loop.at_high;
  const double l = far.fixed_run_mm;
  EXPECT_NEAR(shape.bracket_moment_Nmm,
              w * l * (0.5 * l + std::numbers::pi * 60.0 + 0.5 * far.moving_run_mm), 1e-6);
}

TEST(CheckChainShape, OnItsSideTheLoopIsGeometryAndHasNoForces) {
  const StudyResult result = study_text(with_chain("", "[0, 420, 400]"));
  EXPECT_EQ(find(result, "chain shape"), nullptr);
  const ChainShapeFigures shape = shape_of(result);
  EXPECT_GT(shape.poses, 0U);
  EXPECT_EQ(shape.pull_N, 0.0);
  EXPECT_NE(shape.remark.find("across the plane"), std::string::npos);
}

TEST(CheckChainShape, AStandingLoopIsNotSimulatedAndSaysSo) {
  // On Z, opening upwards: nothing holds a chain that stands.
  std::string plan = with_chain("", "[500, 420, 400]", "[0, 0, 1]");
  const std::string body = "moving_body = \"carriage\"";
  plan.replace(plan.find(body), body.size(), "fixed_body = \"carriage\"\nmoving_body = \"head\"");
  const StudyResult result = study_text(plan);
  const Finding* finding = find(result, "chain shape");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::note);
  EXPECT_NE(finding->what.find("not known"), std::string::npos);
  EXPECT_EQ(shape_of(result).poses, 0U);
}

TEST(CheckChainShape, AHangingLoopPullsWithItsWeight) {
  std::string plan = with_chain("", "[500, 420, 400]", "[0, 0, -1]");
  const std::string body = "moving_body = \"carriage\"";
  plan.replace(plan.find(body), body.size(), "fixed_body = \"carriage\"\nmoving_body = \"head\"");
  const StudyResult result = study_text(plan);
  EXPECT_EQ(find(result, "chain shape"), nullptr);
  // The longest moving run and half the bend.
  const double w = 0.6 * k_gravity / 1000.0;
  EXPECT_NEAR(shape_of(result).pull_N,
              w * (result.chains[0].loop.longest_straight_mm + 0.5 * std::numbers::pi * 60.0),
              1e-9);
}

TEST(CheckChainShape, IsTheSameForAnyNumberOfThreads) {
  const std::string plan = with_chain("back_bend_radius = 700");
  const StudyResult one = study_text(plan, "", {.threads = 1});
  const StudyResult four = study_text(plan, "", {.threads = 4});
  const ChainShapeFigures a = shape_of(one);
  const ChainShapeFigures b = shape_of(four);
  EXPECT_EQ(a.poses, b.poses);
  EXPECT_EQ(a.sag_mm, b.sag_mm);
  EXPECT_EQ(a.gap_mm, b.gap_mm);
  EXPECT_EQ(a.pull_N, b.pull_N);
  EXPECT_EQ(a.floor_force_N, b.floor_force_N);
  EXPECT_EQ(a.strays_mm, b.strays_mm);
}

}  // namespace
}  // namespace bight::study
