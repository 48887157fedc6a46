#include "clearance/reach.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "scenes/random_scene.h"

namespace bight::clearance {
namespace {

using scenes::box_mesh;
using scenes::Random;

const Travel k_machine = {
    {Vec3(1, 0, 0), 0.0, 600.0}, {Vec3(0, 1, 0), 0.0, 400.0}, {Vec3(0, 0, 1), -100.0, 0.0}};

// A head of 10 mm against a post of 20 mm: 30 x 30 of 100 x 80 mm^2 are blocked at every height.
TEST(Reach, ShareIsWhatThePostLeaves) {
  const shape::Solid head = shape::make_solid(box_mesh({Vec3(0), Vec3(10)}));
  const shape::Solid post = shape::make_solid(box_mesh({Vec3(50, 40, -100), Vec3(70, 60, 200)}));
  const MovingPair pair{&head, &post, {Vec3(1, 0, 0), Vec3(0, 1, 0), Vec3(0, 0, 1)}};
  const std::vector<JointRange> joints = {{0, 100}, {0, 80}, {0, 50}};
  const ReachShare reach =
      reach_share(find_blocked_region({&pair, 1}, joints, {.resolution_mm = 0.5}));
  const double exact = 1.0 - 30.0 * 30.0 / (100.0 * 80.0);
  EXPECT_LE(reach.lower_share, exact);
  EXPECT_GE(reach.upper_share, exact);
  EXPECT_LT(reach.upper_share - reach.lower_share, 0.01);
  EXPECT_NEAR(reach.lower_volume, reach.lower_share * 100 * 80 * 50, 1e-6);
}

TEST(Reach, AllOfTheTravelIsFreeWithoutParts) {
  const ReachShare reach =
      reach_share(find_blocked_region({}, std::vector<JointRange>{{0, 600}, {0, 400}}, {}));
  EXPECT_EQ(reach.lower_share, 1.0);
  EXPECT_EQ(reach.upper_share, 1.0);
  EXPECT_EQ(reach.lower_volume, 600.0 * 400.0);
}

TEST(TipShortfall, NothingIsMissingWithinTheTravel) {
  const Vec3 tip(10, 20, 50);
  const TipShortfall s =
      tip_shortfall(tip, k_machine, {tip + Vec3(0, 0, -100), tip + Vec3(600, 400, 0)});
  EXPECT_TRUE(s.reached());
  EXPECT_NEAR(s.distance_mm, 0.0, 1e-9);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_NEAR(s.below_mm[i], 0.0, 1e-9);
    EXPECT_NEAR(s.above_mm[i], 0.0, 1e-9);
  }
}

// 30 mm too far along +X, 40 mm too deep along Z: 50 mm away by Pythagoras.
TEST(TipShortfall, NamesTheMissingMotionOfEachJoint) {
  const Vec3 tip(0, 0, 50);
  const TipShortfall s = tip_shortfall(tip, k_machine, {Vec3(100, 100, -90), Vec3(630, 300, 0)});
  EXPECT_FALSE(s.reached());
  EXPECT_NEAR(s.distance_mm, 50.0, 1e-9);
  EXPECT_NEAR(s.above_mm[0], 30.0, 1e-9);
  EXPECT_NEAR(s.below_mm[2], 40.0, 1e-9);
  EXPECT_NEAR(s.below_mm[0], 0.0, 1e-9);
  EXPECT_NEAR(s.above_mm[1], 0.0, 1e-9);
  EXPECT_NEAR(s.above_mm[2], 0.0, 1e-9);
  EXPECT_NEAR(s.unsupplied_mm, 0.0, 1e-9);
  EXPECT_NEAR(s.farthest.x, 630.0, 1e-9);
  EXPECT_NEAR(s.farthest.z, -90.0, 1e-9);
}

TEST(TipShortfall, TellsWhatNoJointSupplies) {
  const Travel two = {k_machine[0], k_machine[1]};
  const TipShortfall s = tip_shortfall(Vec3(0), two, {Vec3(610, 5, 7), Vec3(610, 5, 7)});
  EXPECT_NEAR(s.above_mm[0], 10.0, 1e-9);
  EXPECT_NEAR(s.unsupplied_mm, 7.0, 1e-9);
  EXPECT_NEAR(s.distance_mm, std::hypot(10.0, 7.0), 1e-9);
}

TEST(TipShortfall, WithoutJointsOrWithoutWishIsDefined) {
  const TipShortfall fixed = tip_shortfall(Vec3(1, 2, 3), {}, {Vec3(1, 2, 8), Vec3(1, 2, 8)});
  EXPECT_NEAR(fixed.distance_mm, 5.0, 1e-9);
  EXPECT_NEAR(fixed.unsupplied_mm, 5.0, 1e-9);
  EXPECT_TRUE(tip_shortfall(Vec3(0), k_machine, Box{}).reached());
}

// A joint box is convex, so is its image: the distance of every wanted point to sampled tip
// positions is no less than claimed for the farthest, and the extended joints reach all corners.
TEST(TipShortfall, HoldsForLeaningAndParallelJoints) {
  for (std::uint64_t seed = 0; seed < 200; ++seed) {
    Random random(seed);
    Travel travel;
    const int joints = random.integer(1, 5);
    for (int i = 0; i < joints; ++i) {
      const Vec3 direction = i > 0 && random.chance(0.2)
                                 ? 0.5 * travel[0].direction
                                 : random.uniform(0.5, 2.0) * random.direction();
      const double lower = random.uniform(-20, 5);
      travel.push_back({direction, lower, lower + random.uniform(0, 30)});
    }
    const Vec3 tip = 10.0 * random.direction();
    const Vec3 corner = 40.0 * random.direction();
    const Box wanted{corner, corner + Vec3(random.uniform(0, 9), 0.0, random.uniform(0, 9))};
    const TipShortfall s = tip_shortfall(tip, travel, wanted);
    EXPECT_NEAR(glm::distance(s.farthest, s.nearest_reachable), s.distance_mm, 1e-7);
    // The farthest point is at least that far from everything that can be reached.
    double nearest = 1e300;
    for (const Pose& pose : scenes::random_poses(random, travel, 300))
      nearest = std::min(nearest, glm::distance(tip + translation(travel, pose), s.farthest));
    EXPECT_GE(nearest, s.distance_mm - 1e-7) << "seed " << seed;
    // With the joints extended, every corner is reached but for what no joint supplies.
    Travel extended = travel;
    for (std::size_t i = 0; i < travel.size(); ++i) {
      const double unit = glm::length(travel[i].direction);
      extended[i].lower -= s.below_mm[i] / unit;
      extended[i].upper += s.above_mm[i] / unit;
    }
    EXPECT_LE(tip_shortfall(tip, extended, wanted).distance_mm, s.unsupplied_mm + 1e-7)
        << "seed " << seed;
  }
}

}  // namespace
}  // namespace bight::clearance
