#include "machine/limits.h"

#include <gtest/gtest.h>

#include <cmath>

namespace bight::machine {
namespace {

plan::Joint joint(const std::string& name, double low, double high) {
  plan::Joint j;
  j.name = name;
  j.travel = {low, high};
  return j;
}

const std::vector<plan::Joint> k_xyz = {joint("X", 0, 1200), joint("Y", 0, 800),
                                        joint("Z", -120, 0)};

TEST(Limits, HardTravelIsThatOfTheStopsWhereTheyAreKnown) {
  auto joints = k_xyz;
  joints[0].stops = {-12, 1214};
  EXPECT_EQ(hard_travel(joints)[0], (std::array<double, 2>{-12, 1214}));
  EXPECT_EQ(hard_travel(joints)[1], (std::array<double, 2>{0, 800}));
  EXPECT_EQ(soft_travel(joints)[0], (std::array<double, 2>{0, 1200}));
}

TEST(Limits, ABoxOfThreeJointsHasEightCornersTheFirstJointChangingFastest) {
  const auto corners = corner_poses(soft_travel(k_xyz));
  ASSERT_EQ(corners.size(), 8U);
  EXPECT_EQ(corners[0], (std::vector<double>{0, 0, -120}));
  EXPECT_EQ(corners[1], (std::vector<double>{1200, 0, -120}));
  EXPECT_EQ(corners[2], (std::vector<double>{0, 800, -120}));
  EXPECT_EQ(corners[7], (std::vector<double>{1200, 800, 0}));
}

TEST(Limits, APlanWithoutJointsHasOnePose) {
  EXPECT_EQ(corner_poses({}), (std::vector<std::vector<double>>{{}}));
}

TEST(Limits, HomeIsAtTheStatedEndOfEachTravel) {
  auto joints = k_xyz;
  joints[2].home = plan::End::high;
  EXPECT_EQ(home_pose(joints), (std::vector<double>{0, 0, 0}));
  joints[0].home = plan::End::high;
  EXPECT_EQ(home_pose(joints), (std::vector<double>{1200, 0, 0}));
}

// 12000 mm/min are 200 mm/s; 200^2 / (2 x 1000) = 20. Also by adding up the motion in small steps.
TEST(Limits, StoppingFromTwelveMetresAMinuteAtOneMetrePerSecondSquaredTakesTwentyMillimetres) {
  EXPECT_DOUBLE_EQ(stopping_distance(12000, 1000), 20.0);
  double speed = 200.0;
  double way = 0.0;
  constexpr double k_step = 1e-6;  // s
  while (speed > 0.0) {
    way += speed * k_step;
    speed -= 1000.0 * k_step;
  }
  EXPECT_NEAR(way, 20.0, 1e-3);
}

TEST(Limits, StoppingDistanceNeedsSpeedAndAcceleration) {
  auto x = joint("X", 0, 1200);
  EXPECT_FALSE(stopping_distance(x).has_value());
  x.speed = 6000;
  EXPECT_FALSE(stopping_distance(x).has_value());
  x.acceleration = 500;
  EXPECT_DOUBLE_EQ(stopping_distance(x).value(), 10.0);
}

TEST(Limits, ProgramZeroLiesAtTheWorkOffset) {
  plan::WorkOffset offset;
  offset.at = {100, 50, -80};
  const auto pose = joint_values(k_xyz, offset, {10, 20, -3}, {0, 0, 0});
  EXPECT_EQ(pose, (std::vector<double>{110, 70, -83}));
  EXPECT_EQ(program_point(k_xyz, offset, pose), Vec3(10, 20, -3));
}

TEST(Limits, JointsOfOtherLettersKeepTheirValue) {
  const std::vector<plan::Joint> joints = {joint("Z", -120, 0), joint("W", 0, 40),
                                           joint("X", 0, 1200)};
  plan::WorkOffset offset;
  offset.at = {5, 6, 7};
  EXPECT_EQ(joint_values(joints, offset, {1, 2, 3}, {0, 33, 0}), (std::vector<double>{10, 33, 6}));
}

}  // namespace
}  // namespace bight::machine
