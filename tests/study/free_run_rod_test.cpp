#include "study/free_run_rod.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "base/tolerance.h"
#include "free/hanging.h"

namespace bight::study {
namespace {

/// A hook and an end that a joint moves along +X by `travel`.
free::AnchorPair ends(const Vec3& start, const Vec3& end, double travel = 0.0) {
  free::AnchorPair pair;
  pair.start = start;
  pair.end = end;
  pair.joints.push_back({Vec3(0.0), Vec3(1.0, 0.0, 0.0), 0.0, travel});
  return pair;
}

// A line of hardly any stiffness hangs as a catenary (Irvine, Cable Structures, 1981), which is
// solved in closed form.
TEST(FreeRunRod, WithoutStiffnessTheLineIsACatenary) {
  const free::AnchorPair pair = ends({0, 0, 1000}, {400, 300, 800});
  const double length = 1000.0;
  FreeRunRod rod(pair, {length, 0.1, 1e-7}, {0.0}, 192);
  const RodShape shape = rod.solve({0.0});
  ASSERT_TRUE(shape.converged());
  const free::HangingShape limp = free::hang_at(pair, {0.0}, length, 0.1, 192);
  for (std::size_t i = 0; i < shape.points.size(); ++i) {
    EXPECT_NEAR(glm::length(shape.points[i] - limp.points[i]), 0.0, 0.2) << i;
  }
  EXPECT_NEAR(shape.lowest.z, limp.lowest.z, 0.05);
  EXPECT_NEAR(shape.radius_mm, limp.catenary.smallest_radius_mm,
              0.003 * limp.catenary.smallest_radius_mm);
  EXPECT_NEAR(glm::length(shape.start_force_N), limp.catenary.tension_start_N, 1e-3);
  EXPECT_NEAR(glm::length(shape.end_force_N), limp.catenary.tension_end_N, 1e-3);
}

// In the second the bottom of the loop is tighter than a link is long.
TEST(FreeRunRod, OfStiffnessZeroBendsAsTheCatenary) {
  for (const Vec3& end : {Vec3(400, 300, 800), Vec3(20, 0, 800), Vec3(0, 0, 800)}) {
    const free::AnchorPair pair = ends({0, 0, 1000}, end);
    const double length = 1000.0;
    FreeRunRod rod(pair, {length, 0.1, 0.0}, {0.0});
    const RodShape shape = rod.solve({0.0});
    ASSERT_TRUE(shape.converged()) << end.x;
    const free::HangingShape limp = free::hang_at(pair, {0.0}, length, 0.1, 192);
    EXPECT_NEAR(shape.radius_mm, limp.catenary.smallest_radius_mm, 1e-6) << end.x;
    EXPECT_NEAR(shape.lowest.z, limp.lowest.z, 5.0) << end.x;  // links of 21 mm
    EXPECT_NEAR(glm::length(shape.start_force_N), limp.catenary.tension_start_N, 0.011)
        << end.x;  // half a link
  }
}

// Clamped at both ends. Values by collocation and multiple shooting, which agree to 8e-10.
TEST(FreeRunRod, AClampedLoopAgreesWithCollocationAndShooting) {
  free::AnchorPair pair = ends({0, 0, 0}, {220, 0, 60});
  pair.start_direction = Vec3(0, 0, -1);
  pair.end_direction = Vec3(0, 0, -1);
  FreeRunRod rod(pair, {900.0, 0.085, 0.012}, {0.0}, 192);
  EXPECT_TRUE(rod.planar());
  const RodShape shape = rod.solve({0.0});
  ASSERT_TRUE(shape.converged());
  EXPECT_NEAR(shape.start_force_N.x, 0.3635275, 2e-4);
  EXPECT_NEAR(shape.start_force_N.z, 0.3656049, 2e-4);
  EXPECT_NEAR(shape.end_force_N.z, 0.3846038, 2e-4);
  EXPECT_NEAR(shape.start_moment_Nmm, 28.3791, 0.03);
  EXPECT_NEAR(shape.end_moment_Nmm, 39.3667, 0.03);
  EXPECT_NEAR(shape.radius_mm, 112.7302, 0.05);
  EXPECT_NEAR(shape.radius_at_mm, 423.51, 6.0);
  EXPECT_NEAR(shape.lowest.z, -348.8913, 0.05);
  EXPECT_NEAR(shape.points[96].x, 153.1770, 0.05);
}

// The same, leaving level from one clamp and arriving level at the other, in a plane across X.
TEST(FreeRunRod, LevelClampsInAVerticalPlaneAreSolvedInIt) {
  free::AnchorPair pair = ends({10, 0, 500}, {10, 1100, 500});
  pair.joints[0].end = Vec3(0, 1, 0);
  pair.start_direction = Vec3(0, 1, 0);
  pair.end_direction = Vec3(0, -1, 0);
  FreeRunRod rod(pair, {1400.0, 0.21, 0.05}, {0.0}, 384);
  EXPECT_TRUE(rod.planar());
  const RodShape shape = rod.solve({0.0});
  ASSERT_TRUE(shape.converged());
  EXPECT_NEAR(shape.end_force_N.y, -0.3602202, 3e-4);
  EXPECT_NEAR(shape.radius_mm, 147.1706, 0.3);
  EXPECT_NEAR(shape.lowest.z, 500.0 - 387.8301, 0.05);
}

TEST(FreeRunRod, ClampsOutOfThePlaneOfTheEndsAreSolvedInSpace) {
  free::AnchorPair pair = ends({0, 0, 1000}, {400, 200, 800}, 100.0);
  pair.start_direction = Vec3(1, 0, 0);
  FreeRunRod rod(pair, {900.0, 0.12, 0.03}, {0.0});
  EXPECT_FALSE(rod.planar());
  const RodShape shape = rod.solve({50.0});
  ASSERT_TRUE(shape.converged());
  const Vec3 weight(0.0, 0.0, 0.9 * 0.12 * k_gravity);
  EXPECT_NEAR(glm::length(shape.start_force_N + shape.end_force_N - weight), 0.0, 1e-6);
}

// Newton's first law for the whole line, at random poses.
TEST(FreeRunRod, TheSupportsCarryTheWeightAtEveryPose) {
  const free::AnchorPair pair = ends({0, 30, 1550}, {-300, 0, 900}, 900.0);
  const HangingRod hose{1080.0, 0.28, 0.11};
  FreeRunRod rod(pair, hose, {0.0});
  std::mt19937 random(7);
  std::uniform_real_distribution<double> along(0.0, 900.0);
  const Vec3 weight(0.0, 0.0, 1.080 * 0.28 * k_gravity);
  for (int i = 0; i < 100; ++i) {
    const free::Pose pose{along(random)};
    const RodShape shape = rod.solve(pose);
    ASSERT_TRUE(shape.converged()) << pose[0];
    EXPECT_NEAR(glm::length(shape.start_force_N + shape.end_force_N - weight), 0.0, 1e-9);
    EXPECT_NEAR(glm::length(shape.points.back() - free::end_at(pair, pose)), 0.0, 1e-3);
  }
}

}  // namespace
}  // namespace bight::study
