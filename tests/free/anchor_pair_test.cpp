#include "free/anchor_pair.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>

namespace bight::free {
namespace {

std::mt19937& numbers() {
  static std::mt19937 random(11);
  return random;
}

double any(double lower, double upper) {
  return std::uniform_real_distribution<double>(lower, upper)(numbers());
}

Vec3 anywhere(double size) {
  return {any(-size, size), any(-size, size), any(-size, size)};
}

/// Distance after cyclic descent: each joint in turn to its best value, many times over. Slow, but
/// another route than faces and normal equations.
double nearest_by_descent(const AnchorPair& pair) {
  Pose pose;
  for (const JointMotion& j : pair.joints) pose.push_back(0.5 * (j.lower + j.upper));
  for (int round = 0; round < 20000; ++round) {
    for (std::size_t i = 0; i < pose.size(); ++i) {
      const JointMotion& j = pair.joints[i];
      const Vec3 g = j.end - j.start;
      const double square = glm::dot(g, g);
      if (square == 0.0) continue;
      const Vec3 d = end_at(pair, pose) - start_at(pair, pose);
      pose[i] = std::clamp(pose[i] - glm::dot(g, d) / square, j.lower, j.upper);
    }
  }
  return glm::distance(start_at(pair, pose), end_at(pair, pose));
}

TEST(AnchorPair, FarthestIsNeverBeatenAndNearestAgreesWithDescent) {
  int inside = 0;
  for (int i = 0; i < 60; ++i) {
    AnchorPair pair{anywhere(500), anywhere(500), {}, {}, {}};
    const int joints = 1 + i % 5;
    for (int k = 0; k < joints; ++k) {
      const double lower = any(-300, 100);
      pair.joints.push_back({anywhere(0.5), anywhere(1.0), lower, lower + any(0, 500)});
    }
    const ExtremePose far = farthest(pair);
    const ExtremePose near = nearest(pair);
    EXPECT_NEAR(glm::distance(start_at(pair, far.pose), end_at(pair, far.pose)), far.distance_mm,
                1e-9);
    EXPECT_NEAR(glm::distance(start_at(pair, near.pose), end_at(pair, near.pose)), near.distance_mm,
                1e-9);
    EXPECT_NEAR(near.distance_mm, nearest_by_descent(pair), 1e-6);
    for (int k = 0; k < 1000; ++k) {
      Pose pose;
      for (const JointMotion& j : pair.joints) pose.push_back(any(j.lower, j.upper));
      const double d = glm::distance(start_at(pair, pose), end_at(pair, pose));
      EXPECT_LE(d, far.distance_mm + 1e-9);
      EXPECT_GE(d, near.distance_mm - 1e-9);
    }
    bool at_bound = true;
    for (std::size_t k = 0; k < pair.joints.size(); ++k) {
      at_bound = at_bound &&
                 (near.pose[k] == pair.joints[k].lower || near.pose[k] == pair.joints[k].upper);
    }
    if (!at_bound) ++inside;
  }
  EXPECT_GT(inside, 10);  // both kinds of optimum were met
  EXPECT_LT(inside, 59);
}

TEST(AnchorPair, OfAGantryIsFarthestAtACornerAndNearestAboveTheTool) {
  // Hook over the middle of a table of 1200 x 800 mm; the anchor on the head travels with X, Y, Z.
  AnchorPair pair{{600, 400, 900}, {0, 0, 100}, {}, {}, {}};
  pair.joints = {{{}, {1, 0, 0}, 0, 1200}, {{}, {0, 1, 0}, 0, 800}, {{}, {0, 0, 1}, 0, 120}};
  const ExtremePose far = farthest(pair);
  EXPECT_DOUBLE_EQ(far.distance_mm, std::sqrt(600.0 * 600 + 400.0 * 400 + 800.0 * 800));
  EXPECT_EQ(far.pose[2], 0.0);
  const ExtremePose near = nearest(pair);
  EXPECT_NEAR(near.distance_mm, 680.0, 1e-12);
  EXPECT_NEAR(near.pose[0], 600.0, 1e-9);
  EXPECT_NEAR(near.pose[1], 400.0, 1e-9);
  EXPECT_EQ(near.pose[2], 120.0);
  EXPECT_NEAR(nearest_horizontally(pair).distance_mm, 0.0, 1e-9);
  EXPECT_DOUBLE_EQ(farthest_horizontally(pair).distance_mm, std::hypot(600.0, 400.0));
}

TEST(AnchorPair, WithoutJointsHasOnePose) {
  const AnchorPair pair{{0, 0, 0}, {3, 4, 12}, {}, {}, {}};
  EXPECT_DOUBLE_EQ(farthest(pair).distance_mm, 13.0);
  EXPECT_DOUBLE_EQ(nearest(pair).distance_mm, 13.0);
  EXPECT_EQ(corner_poses(pair).size(), 1U);
}

TEST(AnchorPair, HasNoCornersForJointsThatMoveNeitherAnchor) {
  AnchorPair pair{{0, 0, 0}, {100, 0, 0}, {}, {}, {}};
  pair.joints = {{{}, {}, -5, 5}, {{}, {1, 0, 0}, 0, 10}};
  EXPECT_EQ(corner_poses(pair).size(), 2U);
  EXPECT_EQ(farthest(pair).pose, (Pose{-5, 10}));
}

TEST(AnchorPair, MovedTogetherKeepsItsDistance) {
  AnchorPair pair{{0, 0, 0}, {100, 0, 0}, {}, {}, {}};
  pair.joints = {{{1, 2, 3}, {1, 2, 3}, -500, 500}};
  EXPECT_DOUBLE_EQ(farthest(pair).distance_mm, 100.0);
  EXPECT_DOUBLE_EQ(nearest(pair).distance_mm, 100.0);
}

}  // namespace
}  // namespace bight::free
