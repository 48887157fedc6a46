#include "shape/inside.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <utility>

#include "shape/primitive.h"

namespace bight::shape {
namespace {

Mesh turned_inside_out(Mesh m) {
  for (auto& t : m.triangles) std::swap(t[0], t[1]);
  return m;
}

const Solid& cube() {
  static const Solid solid = make_solid(make_box(Vec3(-1), Vec3(2)));
  return solid;
}

TEST(Inside, CubeHoldsItsMiddleAndNothingOutside) {
  EXPECT_TRUE(is_inside(cube(), Vec3(0)));
  EXPECT_TRUE(is_inside(cube(), Vec3(0.999, -0.999, 0.999)));
  EXPECT_FALSE(is_inside(cube(), Vec3(1.001, 0, 0)));
  EXPECT_FALSE(is_inside(cube(), Vec3(0, 0, -5)));
  EXPECT_FALSE(is_inside(cube(), Vec3(1e9, 1e9, 1e9)));
}

TEST(Inside, OpenMeshHoldsNothing) {
  Mesh open = make_box(Vec3(-1), Vec3(2));
  open.triangles.pop_back();
  EXPECT_FALSE(is_inside(make_solid(open), Vec3(0)));
  EXPECT_FALSE(is_inside(make_solid({}), Vec3(0)));
}

TEST(Inside, MeshTurnedInsideOutIsSolidAllTheSame) {
  const Solid s = make_solid(turned_inside_out(make_box(Vec3(-1), Vec3(2))));
  EXPECT_TRUE(is_inside(s, Vec3(0.1, 0.2, 0.3)));
  EXPECT_FALSE(is_inside(s, Vec3(2, 0, 0)));
}

TEST(Inside, CavityIsOutsideAndAnIslandInItInside) {
  Mesh m = merged(make_box(Vec3(-10), Vec3(20)), turned_inside_out(make_box(Vec3(-5), Vec3(10))));
  m = merged(std::move(m), make_box(Vec3(-1), Vec3(2)));
  const Solid s = make_solid(m);
  EXPECT_TRUE(is_inside(s, Vec3(7, 1, 1)));
  EXPECT_FALSE(is_inside(s, Vec3(3, 1, 1)));
  EXPECT_TRUE(is_inside(s, Vec3(0.2, 0.1, 0)));
}

TEST(Inside, OverlapOfTwoShellsIsInside) {
  const Solid s = make_solid(merged(make_box(Vec3(0), Vec3(4)), make_box(Vec3(2), Vec3(4))));
  EXPECT_TRUE(is_inside(s, Vec3(3)));
  EXPECT_TRUE(is_inside(s, Vec3(1)));
  EXPECT_TRUE(is_inside(s, Vec3(5)));
  EXPECT_FALSE(is_inside(s, Vec3(1, 5, 1)));
}

TEST(Inside, RaysThroughVerticesAndEdgesAreDecidedAnotherWay) {
  // A tetrahedron whose corners lie exactly on ray directions that is_inside tries from its middle.
  const Vec3 u(0.41361, 0.31873, 0.85287);
  const Vec3 v(-0.72317, 0.59119, 0.35742);
  const Vec3 w(0.27691, -0.88137, 0.38287);
  Mesh m;
  m.vertices = {u, v, w, -(u + v + w)};
  m.triangles = {{0, 1, 2}, {0, 3, 1}, {1, 3, 2}, {2, 3, 0}};
  if (signed_volume(m) < 0.0) m = turned_inside_out(m);
  const Solid s = make_solid(m);
  ASSERT_TRUE(s.closed);
  EXPECT_TRUE(is_inside(s, Vec3(0)));
  for (const Vec3& corner : m.vertices) {
    EXPECT_FALSE(is_inside(s, corner * 1.01));
    EXPECT_TRUE(is_inside(s, corner * 0.5));
    EXPECT_FALSE(is_inside(s, -corner * 5.0));
  }
}

TEST(Inside, GridOfFacesEdgesAndCornersIsNoTrap) {
  // Points whose coordinates equal those of the mesh's vertices, edges and face diagonals.
  const Solid s = make_solid(merged(make_box(Vec3(0), Vec3(2)), make_box(Vec3(4, 0, 0), Vec3(2))));
  for (int x = -1; x <= 7; ++x) {
    for (int y = -1; y <= 3; ++y) {
      for (int z = -1; z <= 3; ++z) {
        const bool in_y_z = y == 1 && z == 1;
        const bool on_or_in =
            y >= 0 && y <= 2 && z >= 0 && z <= 2 && ((x >= 0 && x <= 2) || (x >= 4 && x <= 6));
        const bool inside = in_y_z && (x == 1 || x == 5);
        if (on_or_in && !inside) continue;  // on the surface: either answer will do
        EXPECT_EQ(is_inside(s, Vec3(x, y, z)), inside) << x << ' ' << y << ' ' << z;
      }
    }
  }
}

TEST(Inside, AgreesWithTheWindingNumberOfALeaningCapsule) {
  const Mesh m = placed(make_capsule(Vec3(0), Axis::z, 40, 30), turn_matrix(Vec3(20, 35, 50)),
                        Vec3(1e5, 0, 0));
  const Solid s = make_solid(m);
  std::mt19937_64 random(4);  // its sequence is fixed by the standard
  const auto uniform = [&random] { return static_cast<double>(random() >> 11U) * 0x1p-53; };
  int inside = 0;
  for (int i = 0; i < 2000; ++i) {
    const Vec3 p(1e5 + 80.0 * uniform() - 40.0, 80.0 * uniform() - 40.0, 80.0 * uniform() - 20.0);
    const bool expected = winding_number(m, p) > 0.5;
    inside += expected ? 1 : 0;
    EXPECT_EQ(is_inside(s, p), expected);
  }
  EXPECT_GT(inside, 100);
  EXPECT_LT(inside, 1900);
}

TEST(WindingNumber, IsOneInsideAndZeroOutside) {
  const Mesh m = make_cylinder(Vec3(0), Axis::y, 10, 4);
  EXPECT_NEAR(winding_number(m, Vec3(0.3, 5, 0.1)), 1.0, 1e-12);
  EXPECT_NEAR(winding_number(m, Vec3(8, 5, 0)), 0.0, 1e-12);
}

TEST(DistanceToSurface, OfACubeByHand) {
  EXPECT_DOUBLE_EQ(distance_to_surface(cube(), Vec3(0, 0, 0.25)), 0.75);
  EXPECT_DOUBLE_EQ(distance_to_surface(cube(), Vec3(4, 0.2, -0.3)), 3.0);
  EXPECT_DOUBLE_EQ(distance_to_surface(cube(), Vec3(4, 5, 0)), 5.0);
  EXPECT_DOUBLE_EQ(distance_to_surface(cube(), Vec3(2, 3, 3)), 3.0);
  EXPECT_EQ(distance_to_surface(cube(), Vec3(1, 0.3, 0.3)), 0.0);
}

TEST(DistanceToSurface, StopsAtTheCap) {
  EXPECT_EQ(distance_to_surface(cube(), Vec3(100, 0, 0), 7.0), 7.0);
  EXPECT_DOUBLE_EQ(distance_to_surface(cube(), Vec3(4, 0, 0), 7.0), 3.0);
  EXPECT_EQ(distance_to_surface(make_solid({}), Vec3(0)), std::numeric_limits<double>::infinity());
}

TEST(DistanceToSurface, AgreesWithLookingAtEveryTriangle) {
  const Solid s = make_solid(
      placed(make_cylinder(Vec3(0), Axis::x, 60, 20), turn_matrix(Vec3(10, 20, 30)), Vec3(5)));
  std::mt19937_64 random(9);
  const auto uniform = [&random] { return static_cast<double>(random() >> 11U) * 0x1p-53; };
  for (int i = 0; i < 50; ++i) {
    const Vec3 p(120.0 * uniform() - 60.0, 120.0 * uniform() - 60.0, 120.0 * uniform() - 60.0);
    double expected = std::numeric_limits<double>::infinity();
    for (const auto& t : s.mesh.triangles) {
      const Solid one = make_solid(
          {{s.mesh.vertices[t[0]], s.mesh.vertices[t[1]], s.mesh.vertices[t[2]]}, {{0, 1, 2}}});
      expected = std::min(expected, distance_to_surface(one, p));
    }
    EXPECT_DOUBLE_EQ(distance_to_surface(s, p), expected);
  }
}

}  // namespace
}  // namespace bight::shape
