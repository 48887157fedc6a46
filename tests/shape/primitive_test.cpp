#include "shape/primitive.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/tolerance.h"
#include "shape/mesh_checks.h"

namespace bight::shape {
namespace {

constexpr double k_pi = std::numbers::pi;
constexpr Axis k_axes[] = {Axis::x, Axis::y, Axis::z};

std::size_t index_of(Axis axis) {
  return static_cast<std::size_t>(axis);
}

Vec3 unit(Axis axis) {
  Vec3 direction(0.0);
  direction[static_cast<int>(axis)] = 1.0;
  return direction;
}

double distance_to_segment(const Vec3& p, const Vec3& a, const Vec3& b) {
  const double t =
      a == b ? 0.0 : std::clamp(glm::dot(p - a, b - a) / glm::dot(b - a, b - a), 0.0, 1.0);
  return glm::length(p - (a + t * (b - a)));
}

/// Smallest signed distance of a point to the planes of a convex mesh: positive inside.
double depth_in_convex(const Mesh& mesh, const Vec3& p) {
  double depth = INFINITY;
  for (const auto& t : mesh.triangles) {
    const Vec3& a = mesh.vertices[t[0]];
    const Vec3 normal =
        glm::normalize(glm::cross(mesh.vertices[t[1]] - a, mesh.vertices[t[2]] - a));
    depth = std::min(depth, glm::dot(normal, a - p));
  }
  return depth;
}

std::optional<Mesh> profile(const std::vector<Vec2>& outline, Axis along = Axis::z,
                            double length = 10.0) {
  Diagnostics diagnostics;
  auto mesh = make_profile(outline, Vec3(0.0), along, length, {}, diagnostics);
  EXPECT_EQ(mesh.has_value(), !diagnostics.has_errors());
  return mesh;
}

std::string problem_of(const std::vector<Vec2>& outline) {
  Diagnostics diagnostics;
  EXPECT_FALSE(make_profile(outline, Vec3(0.0), Axis::z, 1.0, {"plan.toml", 3, 1}, diagnostics));
  EXPECT_EQ(diagnostics.items().size(), 1U);
  EXPECT_EQ(diagnostics.items().at(0).place.line, 3);
  return diagnostics.items().at(0).message;
}

TEST(Box, HasTheVolumeAndBoundsOfItsSize) {
  const Mesh box = make_box({-1, 2, 3}, {10, 20, 30});

  expect_watertight_and_outward(box);
  EXPECT_EQ(bounds(box).lower, Vec3(-1, 2, 3));
  EXPECT_EQ(bounds(box).upper, Vec3(9, 22, 33));
  EXPECT_DOUBLE_EQ(signed_volume(box), 6000.0);
}

TEST(Cylinder, ContainsTheTrueOneAndStandsOutByTheFacetToleranceAtMost) {
  const Vec3 base(3, -4, 5);
  for (const double diameter : {0.1, 6.0, 65.0, 1500.0, k_facet_diameter_mm}) {
    for (const Axis along : k_axes) {
      const Mesh mesh = make_cylinder(base, along, 40.0, diameter);
      const Vec3 end = base + 40.0 * unit(along);

      expect_watertight_and_outward(mesh);
      for (const Vec3& v : mesh.vertices) {
        EXPECT_LE(distance_to_segment(v, base, end), 0.5 * diameter + k_facet_tolerance_mm);
      }
      // Points of the true rim, at angles that no facet was laid out for.
      for (int i = 0; i < 100; ++i) {
        const double angle = 0.1 + i;
        Vec3 rim(0.0);
        rim[static_cast<int>((index_of(along) + 1) % 3)] = 0.5 * diameter * std::cos(angle);
        rim[static_cast<int>((index_of(along) + 2) % 3)] = 0.5 * diameter * std::sin(angle);
        EXPECT_GE(depth_in_convex(mesh, base + rim), -1e-12 * diameter);
        EXPECT_GE(depth_in_convex(mesh, end + rim), -1e-12 * diameter);
      }
    }
  }
}

TEST(Cylinder, HasTheBoundsOfTheTrueOneAndItsVolumeToTheFacets) {
  const Mesh mesh = make_cylinder({0, 0, 0}, Axis::y, 100.0, 50.0);

  EXPECT_EQ(bounds(mesh).lower, Vec3(-25, 0, -25));
  EXPECT_EQ(bounds(mesh).upper, Vec3(25, 100, 25));
  const double true_volume = k_pi * 25.0 * 25.0 * 100.0;
  EXPECT_GT(signed_volume(mesh), true_volume);
  EXPECT_LT(signed_volume(mesh), true_volume * std::pow(25.05 / 25.0, 2));
}

TEST(Capsule, ContainsTheTrueOneAndStandsOutByTheFacetToleranceAtMost) {
  const Vec3 base(3, -4, 5);
  for (const double diameter : {0.1, 12.0, 300.0}) {
    for (const double length : {0.0, 25.0}) {
      for (const Axis along : k_axes) {
        const Mesh mesh = make_capsule(base, along, length, diameter);
        const Vec3 end = base + length * unit(along);

        expect_watertight_and_outward(mesh);
        for (const Vec3& v : mesh.vertices) {
          EXPECT_LE(distance_to_segment(v, base, end), 0.5 * diameter + k_facet_tolerance_mm);
        }
        for (int i = 0; i < 200; ++i) {
          const double z = -1.0 + 2.0 * (i + 0.5) / 200.0;
          const double r = std::sqrt(1.0 - z * z);
          const Vec3 on_sphere =
              0.5 * diameter * Vec3(r * std::cos(2.4 * i), r * std::sin(2.4 * i), z);
          EXPECT_GE(depth_in_convex(mesh, base + on_sphere), -1e-12 * diameter);
          EXPECT_GE(depth_in_convex(mesh, end + on_sphere), -1e-12 * diameter);
        }
      }
    }
  }
}

TEST(Capsule, OfNoLengthIsASphereWithTheBoundsOfTheTrueOne) {
  const Mesh sphere = make_capsule({0, 0, 0}, Axis::x, 0.0, 20.0);

  EXPECT_EQ(bounds(sphere).lower, Vec3(-10, -10, -10));
  EXPECT_EQ(bounds(sphere).upper, Vec3(10, 10, 10));
  const double true_volume = 4.0 / 3.0 * k_pi * 1000.0;
  EXPECT_GT(signed_volume(sphere), true_volume);
  EXPECT_LT(signed_volume(sphere), true_volume * std::pow(10.05 / 10.0, 3));
}

TEST(Profile, OfARectangleIsABoxWhicheverWayItsOutlineRuns) {
  const std::vector<Vec2> forwards = {{0, 0}, {30, 0}, {30, 20}, {0, 20}};
  const std::vector<Vec2> backwards(forwards.rbegin(), forwards.rend());
  const Vec3 upper[] = {{10, 30, 20}, {30, 10, 20}, {30, 20, 10}};
  for (const auto& outline : {forwards, backwards}) {
    for (const Axis along : k_axes) {
      const auto mesh = profile(outline, along);

      ASSERT_TRUE(mesh);
      expect_watertight_and_outward(*mesh);
      EXPECT_EQ(bounds(*mesh).lower, Vec3(0.0));
      EXPECT_EQ(bounds(*mesh).upper, upper[index_of(along)]);
      EXPECT_DOUBLE_EQ(signed_volume(*mesh), 6000.0);
    }
  }
}

// The slotted section of aluminium extrusions: concave, with points in line.
TEST(Profile, OfATSlotIsItsAreaTimesItsLength) {
  const std::vector<Vec2> slot = {{0, 0},   {20, 0},  {40, 0},  {40, 40}, {26, 40},
                                  {26, 36}, {30, 36}, {30, 30}, {10, 30}, {10, 36},
                                  {14, 36}, {14, 40}, {0, 40}};

  const auto mesh = profile(slot, Axis::x, 500.0);

  ASSERT_TRUE(mesh);
  expect_watertight_and_outward(*mesh);
  const double area = 40.0 * 40.0 - 12.0 * 4.0 - 20.0 * 6.0;
  EXPECT_NEAR(signed_volume(*mesh), area * 500.0, 1e-6);
}

TEST(Profile, RepeatedPointsAreDropped) {
  const auto mesh = profile({{0, 0}, {0, 0}, {1, 0}, {1, 1}, {1, 1}, {0, 1}, {0, 0}});

  ASSERT_TRUE(mesh);
  EXPECT_EQ(mesh->vertices.size(), 8U);
}

TEST(Profile, OutlinesThatAreNotSimpleAreRefusedWithThePlace) {
  EXPECT_NE(problem_of({{0, 0}, {10, 10}, {10, 0}, {0, 10}}).find("meets"), std::string::npos);
  EXPECT_NE(problem_of({{0, 0}, {10, 0}}).find("fewer than three"), std::string::npos);
  EXPECT_NE(problem_of({{0, 0}, {10, 0}, {5, 0}}).find("folds back"), std::string::npos);
  EXPECT_NE(problem_of({{0, 0}, {10, 0}, {NAN, 5}}).find("point 3 is not a number"),
            std::string::npos);
  // A slit of no width, as drawn to reach a hole from outside.
  EXPECT_NE(problem_of({{0, 0},
                        {9, 0},
                        {9, 9},
                        {5, 9},
                        {5, 4},
                        {6, 4},
                        {6, 3},
                        {4, 3},
                        {4, 4},
                        {5, 4},
                        {5, 9},
                        {0, 9}})
                .find("meets"),
            std::string::npos);
  EXPECT_NE(problem_of(std::vector<Vec2>(k_outline_points_limit + 1)).find("too many"),
            std::string::npos);
}

TEST(TurnMatrix, QuarterTurnsAreExact) {
  const Mat3 z = turn_matrix({0, 0, 90});
  EXPECT_EQ(z * Vec3(1, 0, 0), Vec3(0, 1, 0));
  EXPECT_EQ(turn_matrix({90, 0, 0}) * Vec3(0, 1, 0), Vec3(0, 0, 1));
  EXPECT_EQ(turn_matrix({0, 90, 0}) * Vec3(0, 0, 1), Vec3(1, 0, 0));
  EXPECT_EQ(turn_matrix({0, 0, -630}), z);
  EXPECT_EQ(turn_matrix({0, 540, 0}) * Vec3(1, 2, 3), Vec3(-1, 2, -3));
}

// X first: Y goes to Z; then Y: Z goes to X; then Z: X goes to Y.
TEST(TurnMatrix, TurnsAboutFixedAxesInTheOrderXYZ) {
  EXPECT_EQ(turn_matrix({90, 90, 90}) * Vec3(0, 1, 0), Vec3(0, 1, 0));
  EXPECT_EQ(turn_matrix({90, 90, 0}) * Vec3(0, 1, 0), Vec3(1, 0, 0));
}

TEST(TurnMatrix, IsARotation) {
  const Mat3 turn = turn_matrix({12, -34, 56});
  EXPECT_NEAR(glm::determinant(turn), 1.0, 1e-15);
  EXPECT_NEAR(glm::dot(turn[0], turn[1]), 0.0, 1e-15);
  EXPECT_NEAR(glm::length(turn[2]), 1.0, 1e-15);
  // About Z alone, 30 degrees: cos 30 and sin 30 from the half equilateral triangle.
  const Vec3 x = turn_matrix({0, 0, 30}) * Vec3(1, 0, 0);
  EXPECT_NEAR(x.x, std::sqrt(3.0) / 2.0, 1e-15);
  EXPECT_NEAR(x.y, 0.5, 1e-15);
}

}  // namespace
}  // namespace bight::shape
