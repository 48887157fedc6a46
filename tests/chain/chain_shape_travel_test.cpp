#include "chain/chain_shape_travel.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "rolling_chain.h"

namespace bight::chain {
namespace {

ChainShapeProblem sagging() {
  return {.length_mm = 1400,
          .bend_radius_mm = 60,
          .back_radius_mm = 900.0,
          .pitch_mm = 20,
          .outer_height_mm = 28,
          .moving = {0, 120},
          .mass_kg_per_m = 1.0};
}

TEST(ChainShapeTravel, StepsAreShortWhereFiguresBendAndLongElsewhere) {
  const ChainShapeTravel travel = chain_shapes(sagging(), {-800.0, 800.0});
  ASSERT_TRUE(travel.settled);
  EXPECT_EQ(travel.poses.front().moving_mm, -800.0);
  EXPECT_EQ(travel.poses.back().moving_mm, 800.0);
  double shortest = 1e9;
  for (std::size_t i = 1; i < travel.poses.size(); ++i) {
    const double step = travel.poses[i].moving_mm - travel.poses[i - 1].moving_mm;
    EXPECT_GT(step, 0.0);
    EXPECT_LE(step, travel.step_mm);
    shortest = std::min(shortest, step);
  }
  EXPECT_LT(shortest, 0.3 * travel.step_mm);
  EXPECT_LT(travel.poses.size(), 200U);
}

TEST(ChainShapeTravel, FiguresBetweenPosesCanBeReadOffTheirNeighbours) {
  const ChainShapeTravel travel = chain_shapes(sagging(), {-800.0, 800.0});
  for (std::size_t i = 1; i < travel.poses.size(); ++i) {
    const ChainShapePose& a = travel.poses[i - 1];
    const ChainShapePose& b = travel.poses[i];
    for (const double t : {0.2, 0.5, 0.8}) {
      ChainShapeProblem p = sagging();
      p.moving.x = a.moving_mm + t * (b.moving_mm - a.moving_mm);
      const ChainShape shape = solve_chain_shape(p);
      ASSERT_TRUE(shape.converged());
      const auto between = [t](double at_a, double at_b) { return at_a + t * (at_b - at_a); };
      // Wanted to 0.1 mm at the middle; where the run comes down, the figure has a corner.
      EXPECT_NEAR(shape.front_mm, between(a.shape.front_mm, b.shape.front_mm), 0.3);
      EXPECT_NEAR(shape.gap_mm, between(a.shape.gap_mm, b.shape.gap_mm), 0.3);
    }
  }
}

TEST(ChainShapeTravel, AWellSetChainKeepsToTheIdealLoop) {
  ChainShapeProblem p = sagging();
  p.back_radius_mm = {};
  const ChainShapeTravel travel = chain_shapes(p, {-800.0, 800.0});
  for (const ChainShapePose& pose : travel.poses) {
    ASSERT_TRUE(pose.shape.converged());
    EXPECT_LT(pose.strays_mm, 1e-9);
    // Apex within a pitch of the closed form: the same to rounding here.
    const LoopPose ideal =
        loop_at({.moving_mm = {0, 0}, .bend_radius_mm = 60, .links = {}, .room_mm = {}}, 1400,
                pose.moving_mm);
    EXPECT_NEAR(pose.shape.front_mm, ideal.front_mm, 1e-9);
  }
  EXPECT_EQ(travel.poses.size(), 17U);  // nothing needs more than the first steps and their middles
}

// Lying either way up, on its side, hanging, leaning: the simulated loop of a well-set chain is the
// closed form, apex within a pitch, runs 2 R apart, bent to R and no tighter.
TEST(ChainShapeTravel, HoweverItIsMountedAWellSetChainIsTheClosedForm) {
  for (const test::Lie& lie : test::k_lies) {
    test::Rig rig = test::make_rig(lie);
    rig.chain.mass = 0.8;
    const ChainFrame frame = chain_frame(rig.chain, rig.machine);
    ASSERT_EQ(frame.status, ChainStatus::ok) << lie.name << frame.problem;
    const ChainShapeTravel travel =
        chain_shapes(chain_shape_problem(rig.chain, frame, 0.5), frame.loop.moving_mm);
    ASSERT_GT(travel.poses.size(), 10U);
    for (const ChainShapePose& pose : travel.poses) {
      ASSERT_TRUE(pose.shape.has_shape()) << lie.name << ": " << pose.shape.problem;
      const LoopPose ideal = loop_at(frame.loop, frame.size.length_mm, pose.moving_mm);
      EXPECT_NEAR(pose.shape.front_mm, ideal.front_mm, 1e-6) << lie.name;
      EXPECT_NEAR(pose.shape.gap_mm, 2.0 * rig.chain.bend_radius, 1e-9) << lie.name;
      EXPECT_GE(pose.shape.smallest_radius_mm, rig.chain.bend_radius - 1e-9) << lie.name;
      double low = 0.0;
      double high = 0.0;
      for (const Vec2& q : pose.shape.points) {
        low = std::min(low, q.y);
        high = std::max(high, q.y);
      }
      EXPECT_NEAR(high - low, 2.0 * rig.chain.bend_radius, 1e-6) << lie.name;
    }
  }
}

TEST(ChainShapeTravel, IsBoundedAndSaysThatItDidNotSettle) {
  const ChainShapeTravel travel =
      chain_shapes(sagging(), {-800.0, 800.0}, {.change_mm = 1e-9, .most_points = 2000});
  EXPECT_FALSE(travel.settled);
  std::size_t points = 0;
  for (const ChainShapePose& pose : travel.poses) points += pose.shape.points.size();
  EXPECT_LT(points, 10000U);
}

TEST(ChainShapeTravel, WithoutTravelThereIsOnePose) {
  EXPECT_EQ(chain_shapes(sagging(), {10.0, 10.0}).poses.size(), 1U);
}

TEST(ChainShapeTravel, ThePlansFrameDecidesHowTheWeightActs) {
  for (const test::Lie& lie : test::k_lies) {
    test::Rig rig = test::make_rig(lie);
    rig.chain.mass = 0.8;
    const ChainFrame frame = chain_frame(rig.chain, rig.machine);
    ASSERT_EQ(frame.status, ChainStatus::ok) << lie.name << frame.problem;
    const ChainShapeProblem p = chain_shape_problem(rig.chain, frame, 0.5);
    EXPECT_NEAR(p.mass_kg_per_m, 1.3, 1e-12);
    const ChainShapeTravel travel = chain_shapes(p, frame.loop.moving_mm);
    const bool side = std::string(lie.name) == "on its side";
    for (const ChainShapePose& pose : travel.poses) {
      ASSERT_TRUE(pose.shape.has_shape()) << lie.name << ": " << pose.shape.problem;
      EXPECT_EQ(pose.shape.converged(), !side) << lie.name;
      EXPECT_LT(pose.strays_mm, 1e-9) << lie.name;
    }
  }
}

}  // namespace
}  // namespace bight::chain
