#include "clearance/meeting_points.h"

#include <gtest/gtest.h>

#include "oracle/fcl_oracle.h"
#include "scenes/random_scene.h"

namespace bight::clearance {
namespace {

using scenes::Random;

TEST(MeetingPoints, OverlapIsSeenAlongTheColumn) {
  const Triangle a = {Vec3(0, 0, 7), Vec3(4, 0, 7), Vec3(0, 4, 7)};
  const Triangle b = {Vec3(10, 10, 1), Vec3(14, 10, 1), Vec3(10, 14, 1)};
  const auto m = overlap_middle(a, b, Vec3(10, 10, 0));
  ASSERT_TRUE(m);
  EXPECT_NEAR(m->of_a.x + 10.0, m->of_b.x, 1e-12);
  EXPECT_NEAR(m->of_a.y + 10.0, m->of_b.y, 1e-12);
  EXPECT_NEAR(m->of_a.z, 7.0, 1e-12);
  EXPECT_NEAR(m->of_b.z, 1.0, 1e-12);
  EXPECT_FALSE(overlap_middle(a, b, Vec3(0.0)));
}

// A floor facing up and a wall facing +X cross in the line x = 0, z = 0; inside of both is (-, -).
TEST(MeetingPoints, CrossingGoesInsideBoth) {
  const Triangle floor = {Vec3(-5, -5, 0), Vec3(5, -5, 0), Vec3(0, 8, 0)};
  const Triangle wall = {Vec3(0, -2, -2), Vec3(0, 2, -2), Vec3(0, 0, 4)};
  const auto m = crossing_middle(floor, wall, Vec3(0.0), 0.25, false);
  ASSERT_TRUE(m);
  EXPECT_NEAR(m->of_b.x, -0.25, 1e-12);
  EXPECT_NEAR(m->of_b.z, -0.25, 1e-12);
  EXPECT_NEAR(crossing_middle(floor, wall, Vec3(0.0), 0.25, true)->of_b.z, 0.25, 1e-12);
  EXPECT_FALSE(crossing_middle(floor, wall, Vec3(0, 0, -3), 0.25, false));
}

// Whatever the triangles (standing along the column, slivers, points), the points lie on them.
TEST(MeetingPoints, OfTheOverlapLieOnTheTriangles) {
  std::size_t found = 0;
  for (std::size_t seed = 0; seed < 3000; ++seed) {
    Random random(seed);
    const auto triangle = [&] {
      Triangle t;
      for (Vec3& p : t) p = random.uniform(0.1, 2.0) * random.direction();
      if (random.chance(0.3)) t[2] = t[0] + Vec3(1e-13 * random.uniform(-1, 1), 1e-14, 1.0);
      if (random.chance(0.2)) t[2] = 0.5 * (t[0] + t[1]) + 1e-9 * random.direction();
      return t;
    };
    const Triangle a = triangle();
    const Triangle b = triangle();
    const auto m = overlap_middle(a, b, Vec3(0.0));
    if (!m) continue;
    ++found;
    const auto distance = [](const Triangle& t, const Vec3& p) {
      const shape::Mesh mesh{{t[0], t[1], t[2]}, {{0, 1, 2}}};
      return oracle::FclPair({{p, p, p}, {{0, 1, 2}}}, mesh).distance(Vec3(0.0)).distance_mm;
    };
    EXPECT_LT(distance(a, m->of_a), 1e-7) << "case " << seed;
    EXPECT_LT(distance(b, m->of_b), 1e-7) << "case " << seed;
  }
  EXPECT_GT(found, 500U);
}

TEST(MeetingPoints, DeepestCornersFaceEachOther) {
  const Triangle a = {Vec3(0, 0, 7), Vec3(4, 0, 8), Vec3(0, 4, 9)};
  const Triangle b = {Vec3(0, 0, 1), Vec3(4, 0, 2), Vec3(0, 4, 3)};
  EXPECT_EQ(deepest_corners(a, b, true).of_a.z, 7.0);
  EXPECT_EQ(deepest_corners(a, b, true).of_b.z, 3.0);
  EXPECT_EQ(deepest_corners(a, b, false).of_a.z, 9.0);
  EXPECT_EQ(deepest_corners(a, b, false).of_b.z, 1.0);
}

}  // namespace
}  // namespace bight::clearance
