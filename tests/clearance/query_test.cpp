#include "clearance/query.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "shape/primitive.h"

namespace bight::clearance {
namespace {

using shape::make_solid;
using shape::Mesh;
using shape::Solid;

Solid box(const Vec3& lower, const Vec3& size) {
  return make_solid(shape::make_box(lower, size));
}

Solid triangle(const Vec3& p, const Vec3& q, const Vec3& r) {
  return make_solid(Mesh{{p, q, r}, {{0, 1, 2}}});
}

const Axis k_x{Vec3(1, 0, 0), 0.0, 0.0};

Travel three_axes(double x, double y, double z) {
  return {{Vec3(1, 0, 0), 0.0, x}, {Vec3(0, 1, 0), 0.0, y}, {Vec3(0, 0, 1), -z, 0.0}};
}

/// The result holds together: bounds within tolerance, points that far apart.
void expect_consistent(const QueryResult& r, double tolerance = 0.01) {
  EXPECT_LE(r.lower_mm, r.upper_mm);
  EXPECT_LE(r.upper_mm - r.lower_mm, tolerance * (1 + 1e-9));
  EXPECT_NEAR(glm::distance(r.point_a, r.point_b), r.upper_mm, 1e-9);
}

// A 10 mm cube whose travel ends 3 mm short of a wall: closed form.
TEST(Clearance, CubeStopsThreeMillimetresShortOfAWall) {
  const Solid head = box(Vec3(0), Vec3(10));
  const Solid wall = box(Vec3(113, -500, -500), Vec3(20, 1000, 1000));
  const QueryResult r = query_clearance(head, wall, {{Vec3(1, 0, 0), 0.0, 100.0}});
  expect_consistent(r);
  EXPECT_NEAR(r.upper_mm, 3.0, 1e-9);
  ASSERT_EQ(r.pose.size(), 1U);
  EXPECT_NEAR(r.pose[0], 100.0, 1e-9);
}

// Corner to corner at the far end of three axes: sqrt(1 + 4 + 4) = 3.
TEST(Clearance, CornersMeetDiagonally) {
  const Solid head = box(Vec3(0), Vec3(10));
  const Solid post = box(Vec3(1211, 812, -300), Vec3(50, 50, 178));
  const QueryResult r = query_clearance(head, post, three_axes(1200, 800, 120));
  expect_consistent(r);
  EXPECT_NEAR(r.upper_mm, 3.0, 1e-9);
}

TEST(Clearance, TouchingFacesGiveExactlyZero) {
  const Solid a = box(Vec3(0), Vec3(10));
  const Solid b = box(Vec3(10, 0, 0), Vec3(10));
  const QueryResult r = query_clearance(a, b, {});
  EXPECT_EQ(r.upper_mm, 0.0);
  EXPECT_EQ(r.lower_mm, 0.0);
  EXPECT_FALSE(clearance_exceeds(a, b, {}, 0.0));
}

TEST(Clearance, TriangleShrunkToAPointIsMeasuredAsAPoint) {
  const Solid point = triangle(Vec3(3, 4, 12), Vec3(3, 4, 12), Vec3(3, 4, 12));
  const Solid origin = triangle(Vec3(0), Vec3(0), Vec3(0));
  EXPECT_NEAR(query_clearance(point, origin, {}).upper_mm, 13.0, 1e-12);
}

TEST(Clearance, SolidInsideAnotherIsContained) {
  const Solid core = box(Vec3(40), Vec3(5));
  const Solid shell = box(Vec3(0), Vec3(100));
  for (const auto& [a, b] : {std::pair{&core, &shell}, std::pair{&shell, &core}}) {
    const QueryResult r = query_clearance(*a, *b, {{Vec3(1, 0.5, 0), -3.0, 3.0}});
    EXPECT_TRUE(r.contained);
    EXPECT_EQ(r.upper_mm, 0.0);
    EXPECT_FALSE(clearance_exceeds(*a, *b, {{Vec3(1, 0.5, 0), -3.0, 3.0}}, 0.0));
  }
}

TEST(Clearance, EmptyPartIsInfinitelyFar) {
  const Solid none = make_solid({});
  const Solid cube = box(Vec3(0), Vec3(1));
  const QueryResult r = query_clearance(none, cube, {k_x});
  EXPECT_EQ(r.lower_mm, std::numeric_limits<double>::infinity());
  EXPECT_EQ(r.upper_mm, std::numeric_limits<double>::infinity());
  EXPECT_TRUE(clearance_exceeds(cube, none, {k_x}, 1e9));
}

}  // namespace
}  // namespace bight::clearance
