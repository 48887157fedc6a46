#include "study/hung_rods.h"

#include <gtest/gtest.h>

#include <cmath>

namespace bight::study {
namespace {

/// A cord of 1 m from a support at the origin to an anchor beside it.
HungRods one_cord(double distance_mm) {
  HungSpan span;
  span.anchors.end = Vec3(distance_mm, 0.0, 0.0);
  span.rod = {1000.0, 0.1, 0.002};
  return {{span}, {}};
}

// Level, so taut by the parabola (Irvine, Cable Structures, 1981): H = w L sqrt(L / (24 slack)).
TEST(HungRods, PullHarderTheLessSlackTheyHave) {
  for (const double slack_mm : {1e-3, 1e-6}) {
    const auto forces = one_cord(1000.0 - slack_mm).at(Vec3(0.0), 0.0);
    ASSERT_EQ(forces.size(), 1U) << slack_mm;
    const double expected = 0.1 * 9.80665 * std::sqrt(1000.0 / (24.0 * slack_mm));
    EXPECT_NEAR(forces[0].force_N.x / expected, 1.0, 0.01) << slack_mm;
  }
}

TEST(HungRods, HaveNoShapeWithoutSlackThatRoundingTells) {
  EXPECT_TRUE(one_cord(1000.0 - 2e-13).at(Vec3(0.0), 0.0).empty());
  EXPECT_TRUE(one_cord(1001.0).at(Vec3(0.0), 0.0).empty());
}

}  // namespace
}  // namespace bight::study
