#include "chain/chain_shape_travel.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "base/tolerance.h"
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
  for (const bool sags : {true, false}) {
    ChainShapeProblem p = sagging();
    if (!sags) {  // sticks out straight
      p.back_radius_mm = {};
      p.tray = false;
    }
    const ChainShapeTravel travel = chain_shapes(p, {-800.0, 800.0});
    ASSERT_TRUE(travel.settled);
    const double weight = p.mass_kg_per_m * p.length_mm / 1000.0 * k_gravity;
    for (std::size_t i = 1; i < travel.poses.size(); ++i) {
      const ChainShapePose& a = travel.poses[i - 1];
      const ChainShapePose& b = travel.poses[i];
      for (const double t : {0.2, 0.5, 0.8}) {
        p.moving.x = a.moving_mm + t * (b.moving_mm - a.moving_mm);
        const ChainShape shape = solve_chain_shape(p);
        ASSERT_TRUE(shape.converged());
        // Where the run comes down, forces jump: then they are one or the other.
        const bool jumps = b.moving_mm - a.moving_mm < 1.0;
        const auto expect = [&](double ChainShape::*figure, double off) {
          const double at_a = a.shape.*figure;
          const double at_b = b.shape.*figure;
          const double between = (1.0 - t) * at_a + t * at_b;
          EXPECT_NEAR(shape.*figure, between, jumps ? std::abs(at_b - at_a) + off : off)
              << p.moving.x;
        };
        // Wanted to 0.1 mm and 0.5 % at the middle; where the run comes down, figures have a
        // corner.
        expect(&ChainShape::front_mm, 0.3);
        expect(&ChainShape::gap_mm, 0.3);
        expect(&ChainShape::pull_N, 0.015 * weight);
        expect(&ChainShape::floor_force_N, 0.015 * weight);
        expect(&ChainShape::fixed_moment_Nmm, 0.015 * weight * p.length_mm);
        expect(&ChainShape::moving_moment_Nmm, 0.015 * weight * p.length_mm);
        const double strays = (1.0 - t) * a.strays_mm + t * b.strays_mm;
        EXPECT_NEAR(strays_from_loop(p, shape), strays, 0.3);
      }
    }
  }
}

// As a rod poses take long: they are few, and closer where its figures change fast.
TEST(ChainShapeTravel, PosesSolvedAsARodAreCloserWhereFiguresBendAndNoMoreThanAllowed) {
  ChainShapeProblem p = sagging();
  p.length_mm = 1000;
  p.moving.y = 150;
  p.tray = false;
  p.gravity = {std::sin(1.2), -std::cos(1.2)};
  const ChainShapeTravel some = chain_shapes(p, {-400.0, 400.0}, {.first_steps = 2});
  const ChainShapeTravel few =
      chain_shapes(p, {-400.0, 400.0}, {.first_steps = 2, .most_by_rod = 7});
  ASSERT_TRUE(some.poses.front().shape.by_rod);
  double shortest = some.step_mm;
  for (std::size_t i = 1; i < some.poses.size(); ++i) {
    shortest = std::min(shortest, some.poses[i].moving_mm - some.poses[i - 1].moving_mm);
  }
  EXPECT_LT(shortest, 0.6 * some.step_mm);
  EXPECT_GT(some.poses.size(), few.poses.size());
  EXPECT_LE(some.poses.size(), 34U);
  EXPECT_LE(few.poses.size(), 7U);
  EXPECT_FALSE(few.settled);
}

TEST(ChainShapeTravel, PosesThatAreAskedForAreThereToo) {
  const ChainShapeTravel travel = chain_shapes(sagging(), {-800.0, 800.0});
  const ChainShapeTravel more =
      with_poses(travel, sagging(), {travel.poses[3].moving_mm, 12.25, -700.5});
  ASSERT_EQ(more.poses.size(), travel.poses.size() + 2);
  for (std::size_t i = 1; i < more.poses.size(); ++i) {
    EXPECT_LT(more.poses[i - 1].moving_mm, more.poses[i].moving_mm);
  }
  ChainShapeProblem p = sagging();
  p.moving.x = 12.25;
  const auto asked = std::find_if(more.poses.begin(), more.poses.end(),
                                  [](const auto& pose) { return pose.moving_mm == 12.25; });
  ASSERT_NE(asked, more.poses.end());
  EXPECT_EQ(asked->shape.sag_mm, solve_chain_shape(p).sag_mm);
  EXPECT_LE(more.step_mm, travel.step_mm);
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

TEST(ChainShapeTravel, CancelledItHasBothEndsOnlyAndDidNotSettle) {
  Progress progress;
  progress.cancel();
  const ChainShapeTravel travel = chain_shapes(sagging(), {-800.0, 800.0}, {.progress = &progress});
  ASSERT_EQ(travel.poses.size(), 3U);
  EXPECT_EQ(travel.poses.front().moving_mm, -800.0);
  EXPECT_EQ(travel.poses.back().moving_mm, 800.0);
  EXPECT_FALSE(travel.settled);
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
