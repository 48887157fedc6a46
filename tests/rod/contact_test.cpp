#include "rod/contact.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace bight::rod {
namespace {

TEST(Distance, OfAFloorIsTheHeight) {
  const Distance d = distance_to(Floor{10.0}, {5.0, 6.0, 4.0});
  EXPECT_EQ(d.value_mm, -6.0);
  EXPECT_EQ(d.normal, Vec3(0.0, 0.0, 1.0));
}

TEST(Distance, OfABoxIsToItsNearestFaceEdgeOrCorner) {
  const SolidBox box{Box{Vec3(0.0), Vec3(10.0, 20.0, 30.0)}};
  EXPECT_EQ(distance_to(box, {5.0, 10.0, 37.0}).value_mm, 7.0);
  EXPECT_EQ(distance_to(box, {13.0, 24.0, 15.0}).value_mm, 5.0);
  EXPECT_DOUBLE_EQ(distance_to(box, {11.0, 22.0, 32.0}).value_mm, 3.0);
  const Distance inside = distance_to(box, {9.0, 10.0, 15.0});
  EXPECT_EQ(inside.value_mm, -1.0);
  EXPECT_EQ(inside.normal, Vec3(1.0, 0.0, 0.0));
}

TEST(Distance, OfACapsuleIsToItsSegmentLessTheRadius) {
  const Capsule capsule{{0.0, 0.0, 0.0}, {100.0, 0.0, 0.0}, 10.0};
  EXPECT_EQ(distance_to(capsule, {50.0, 30.0, 40.0}).value_mm, 40.0);
  EXPECT_EQ(distance_to(capsule, {103.0, 0.0, 4.0}).value_mm, -5.0);
  const Capsule ball{{0.0, 0.0, 0.0}, {0.0, 0.0, 0.0}, 2.0};
  EXPECT_EQ(distance_to(ball, {3.0, 4.0, 0.0}).value_mm, 3.0);
}

TEST(Distance, HasTheGradientAndHessianOfItsDifferences) {
  std::mt19937 random(9);
  std::uniform_real_distribution<double> any(-60.0, 60.0);
  const Obstacle obstacles[] = {SolidBox{Box{Vec3(-20.0), Vec3(20.0, 10.0, 30.0)}},
                                Capsule{{-20.0, 5.0, 0.0}, {30.0, -10.0, 20.0}, 8.0}};
  for (const Obstacle& o : obstacles) {
    for (int i = 0; i < 200; ++i) {
      const Vec3 p(any(random), any(random), any(random));
      const Distance d = distance_to(o, p);
      if (d.value_mm < 1.0) continue;
      constexpr double k_step = 1e-4;
      for (int a = 0; a < 3; ++a) {
        Vec3 u(0.0);
        u[a] = k_step;
        const Distance more = distance_to(o, p + u);
        const Distance less = distance_to(o, p - u);
        EXPECT_NEAR((more.value_mm - less.value_mm) / (2.0 * k_step), d.normal[a], 1e-4);
        const Vec3 column = (more.normal - less.normal) / (2.0 * k_step);
        EXPECT_LT(glm::length(column - d.curvature[a]), 1e-3);
      }
    }
  }
}

}  // namespace
}  // namespace bight::rod
