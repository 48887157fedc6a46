#include "machine/line_in_box.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

namespace bight::machine {
namespace {

const Box k_box{Vec3(100, 0, 0), Vec3(120, 30, 10)};

double distance_to_box(const Vec3& p, const Box& box) {
  const Vec3 nearest = glm::min(glm::max(p, box.lower), box.upper);
  return glm::length(p - nearest);
}

TEST(LineInBox, APointEntersAndLeavesThroughTheFaces) {
  const auto s = line_in_box({0, 15, 5}, {1, 0, 0}, k_box, 0.0);
  ASSERT_TRUE(s.has_value());
  EXPECT_DOUBLE_EQ((*s)[0], 100.0);
  EXPECT_DOUBLE_EQ((*s)[1], 120.0);
}

TEST(LineInBox, ARollerTouchesOneRadiusBeforeTheFace) {
  const auto s = line_in_box({0, 15, 5}, {1, 0, 0}, k_box, 4.0);
  ASSERT_TRUE(s.has_value());
  EXPECT_NEAR((*s)[0], 96.0, 1e-12);
  EXPECT_NEAR((*s)[1], 124.0, 1e-12);
}

// 3-4-5: the centre passes 3 mm above the upper edge, so the roller of radius 5 touches the edge
// when it is still 4 mm in front of it.
TEST(LineInBox, ARollerThatPassesAboveAnEdgeTouchesItEarlierThanItsMiddle) {
  const auto s = line_in_box({0, 15, 13}, {1, 0, 0}, k_box, 5.0);
  ASSERT_TRUE(s.has_value());
  EXPECT_NEAR((*s)[0], 96.0, 1e-12);
  EXPECT_NEAR((*s)[1], 124.0, 1e-12);
}

TEST(LineInBox, TheUnitOfTheValueIsTheLengthOfTheDirection) {
  const auto s = line_in_box({0, 15, 5}, {0.5, 0, 0}, k_box, 4.0);
  ASSERT_TRUE(s.has_value());
  EXPECT_NEAR((*s)[0], 192.0, 1e-12);
}

TEST(LineInBox, PassingTooFarAwayIsNothing) {
  EXPECT_FALSE(line_in_box({0, 15, 15.01}, {1, 0, 0}, k_box, 5.0).has_value());
  EXPECT_FALSE(line_in_box({0, 31, 5}, {1, 0, 0}, k_box, 0.0).has_value());
}

TEST(LineInBox, SlidingAlongAFaceCounts) {
  const auto on_face = line_in_box({0, 30, 5}, {1, 0, 0}, k_box, 0.0);
  ASSERT_TRUE(on_face.has_value());
  EXPECT_NEAR((*on_face)[0], 100.0, 1e-9);
  // The roller grazes: one value along an edge, the whole face along a face.
  const auto graze = line_in_box({0, 15, 15}, {1, 0, 0}, k_box, 5.0);
  ASSERT_TRUE(graze.has_value());
  EXPECT_NEAR((*graze)[0], 100.0, 1e-5);
  EXPECT_NEAR((*graze)[1], 120.0, 1e-5);
}

TEST(LineInBox, ThroughACornerOfTheBoxDiagonally) {
  // Along (1,1,1) through the lowest corner: enters there, leaves through the nearest upper face.
  const auto s = line_in_box({0, -100, -100}, {1, 1, 1}, k_box, 0.0);
  ASSERT_TRUE(s.has_value());
  EXPECT_NEAR((*s)[0], 100.0, 1e-9);
  EXPECT_NEAR((*s)[1], 110.0, 1e-9);
}

// The ends against fine sampling and the definition itself.
TEST(LineInBox, RandomLinesAreWithinTheRadiusExactlyBetweenTheEnds) {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> near(-20, 40);
  std::uniform_real_distribution<double> unit(-1, 1);
  int hits = 0;
  int misses = 0;
  for (int trial = 0; trial < 2000; ++trial) {
    const Vec3 offset(trial % 2 == 0 ? 0.0 : 5000.0);
    const Box box{k_box.lower + offset, k_box.upper + offset};
    const Vec3 p = Vec3(100, 0, 0) + offset + Vec3(near(random), near(random), near(random));
    const Vec3 g(unit(random), trial % 3 == 0 ? 0.0 : unit(random), unit(random));
    const double radius = trial % 5 == 0 ? 0.0 : 12.0 * std::abs(unit(random));
    const auto s = line_in_box(p, g, box, radius);
    double least = 1e9;
    for (int k = -4000; k <= 4000; ++k) {
      const double at = 0.1 * k / glm::length(g);
      const double d = distance_to_box(p + at * g, box);
      least = std::min(least, d);
      if (d < radius - 1e-6) {
        ASSERT_TRUE(s.has_value()) << trial;
        ASSERT_GE(at, (*s)[0] - 1e-9) << trial;
        ASSERT_LE(at, (*s)[1] + 1e-9) << trial;
      }
    }
    if (s.has_value()) {
      ++hits;
      EXPECT_NEAR(distance_to_box(p + (*s)[0] * g, box), radius, 1e-6) << trial;
      EXPECT_NEAR(distance_to_box(p + (*s)[1] * g, box), radius, 1e-6) << trial;
    } else {
      ++misses;
      EXPECT_GT(least, radius) << trial;
    }
  }
  EXPECT_GT(hits, 300);
  EXPECT_GT(misses, 300);
}

}  // namespace
}  // namespace bight::machine
