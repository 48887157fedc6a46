// A cable over meshed bodies is the cable over the same bodies as primitives: the meshes of a box
// and of a cylinder against rod/contact.h's closed forms.

#include "study/mesh_contact.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

#include "base/tolerance.h"
#include "rod/spatial_rod.h"
#include "shape/primitive.h"

namespace bight::study {
namespace {

std::shared_ptr<const rod::ContactSurface> surface_of(shape::Mesh mesh) {
  return mesh_surface(std::make_shared<shape::Solid>(shape::make_solid(std::move(mesh))));
}

TEST(MeshContact, OfABoxIsTheDistanceOfTheBox) {
  const Box box{Vec3(-20.0, 10.0, -5.0), Vec3(30.0, 50.0, 25.0)};
  const auto surface = surface_of(shape::make_box(box.lower, box.upper - box.lower));
  std::mt19937 random(7);
  std::uniform_real_distribution<double> at(-70.0, 100.0);
  int inside = 0;
  for (int i = 0; i < 2000; ++i) {
    const Vec3 p(at(random), at(random), at(random));
    const rod::Distance want = rod::distance_to(rod::SolidBox{box}, p);
    const rod::Distance got = surface->distance_to(p);
    EXPECT_NEAR(got.value_mm, want.value_mm, 1e-12);
    EXPECT_LT(glm::length(got.normal - want.normal), 1e-12);
    inside += want.value_mm < 0.0 ? 1 : 0;
    for (int k = 0; k < 3 && want.value_mm > 0.0; ++k) {
      EXPECT_LT(glm::length(got.curvature[k] - want.curvature[k]), 1e-12);
    }
  }
  EXPECT_GT(inside, 10);
}

TEST(MeshContact, OnTheSurfaceHasTheNormalOfTheFace) {
  const auto surface = surface_of(shape::make_box(Vec3(0.0), Vec3(10.0)));
  const rod::Distance d = surface->distance_to({4.0, 3.0, 10.0});
  EXPECT_NEAR(d.value_mm, 0.0, 1e-12);
  EXPECT_EQ(d.normal, Vec3(0.0, 0.0, 1.0));
}

/// Farthest that joints of the same number are apart.
double apart(const rod::SpatialRodSolver& a, const rod::SpatialRodSolver& b) {
  double most = 0.0;
  const auto p = a.points();
  const auto q = b.points();
  for (std::size_t i = 0; i < p.size(); ++i) most = std::max(most, glm::distance(p[i], q[i]));
  return most;
}

double pressed(const rod::SpatialRodSolver& solver) {
  double sum = 0.0;
  for (const rod::RodContact& c : solver.figures().contacts) sum += c.force_N.z;
  return sum;
}

TEST(MeshContact, ACableOverAMeshedBoxIsTheCableOverTheBox) {
  // Clamped on the table top, running off its edge.
  rod::SpatialRodProblem p{.length_mm = 600.0, .mass_kg_m = 0.3, .stiffness_Nm2 = 0.01};
  p.start = {-300.0, 0.0, 4.0};
  p.start_tangent = Vec3(1.0, 0.0, 0.0);
  p.end_is_free = true;
  p.radius_mm = 4.0;
  const Box box{Vec3(-500.0, -300.0, -400.0), Vec3(0.0, 300.0, 0.0)};
  p.obstacles = {rod::SolidBox{box}};
  rod::SpatialRodSolver primitive(120);
  ASSERT_TRUE(primitive.solve_cold(p, {.most_iterations = 300}).converged());
  p.obstacles = {surface_of(shape::make_box(box.lower, box.upper - box.lower))};
  rod::SpatialRodSolver mesh(120);
  const rod::RodReport report = mesh.solve_cold(p, {.most_iterations = 300});
  ASSERT_TRUE(report.converged()) << report.residual;
  EXPECT_LT(apart(mesh, primitive), 1e-3);
  EXPECT_GT(pressed(primitive), 0.5);
  EXPECT_NEAR(pressed(mesh), pressed(primitive), 1e-5);
}

TEST(MeshContact, ACableOverAMeshedCylinderIsTheCableOverTheCylinder) {
  rod::SpatialRodProblem p{.length_mm = 870.0, .mass_kg_m = 0.05, .stiffness_Nm2 = 0.001};
  p.start = {-250.0, 0.0, 0.0};
  p.end = {250.0, 30.0, 0.0};
  p.radius_mm = 5.0;
  p.obstacles = {rod::Capsule{{0.0, -200.0, 300.0}, {0.0, 200.0, 300.0}, 40.0}};
  std::vector<Vec3> points;
  for (int i = 0; i <= 120; ++i) {
    const double t = std::numbers::pi * (1.0 - i / 120.0);
    points.push_back({250.0 * std::cos(t), 0.25 * i, 360.0 * std::sin(t)});
  }
  rod::SpatialRodSolver primitive(120);
  ASSERT_TRUE(primitive.solve_from(points, p, {.most_iterations = 300}).converged());
  // A prism of 1000 sides: they lie at most 0.0002 mm inside the circle.
  std::vector<Vec2> outline;
  for (int i = 0; i < 1000; ++i) {
    const double t = 2.0 * std::numbers::pi * i / 1000.0;
    outline.push_back({40.0 * std::cos(t), 40.0 * std::sin(t)});
  }
  Diagnostics diagnostics;
  auto prism =
      shape::make_profile(outline, {0.0, -200.0, 300.0}, shape::Axis::y, 400.0, {}, diagnostics);
  ASSERT_TRUE(prism.has_value());
  p.obstacles = {surface_of(std::move(*prism))};
  rod::SpatialRodSolver mesh(120);
  const rod::RodReport report = mesh.solve_from(points, p, {.most_iterations = 300});
  ASSERT_TRUE(report.converged()) << report.residual << " after " << report.iterations;
  EXPECT_LT(apart(mesh, primitive), 0.01);
  EXPECT_GT(pressed(primitive), 0.8);
  EXPECT_NEAR(pressed(mesh), pressed(primitive), 0.002 * pressed(primitive));
}

TEST(MeshContact, ACableThatSagsOntoAMeshedPostRestsOnIt) {
  // A slack cable laid over a box that stands in its way, its ends out of line.
  rod::SpatialRodProblem p{.length_mm = 1500.0, .mass_kg_m = 0.2, .stiffness_Nm2 = 0.02};
  p.end = {1000.0, 60.0, 100.0};
  p.radius_mm = 6.0;
  const Box box{Vec3(350.0, -900.0, -800.0), Vec3(650.0, 900.0, -250.0)};
  p.obstacles = {rod::SolidBox{box}};
  std::vector<Vec3> points;
  for (int i = 0; i <= 64; ++i) {
    const double t = std::numbers::pi * i / 64.0;
    points.push_back({500.0 - 500.0 * std::cos(t), 60.0 * i / 64.0, 400.0 * std::sin(t)});
  }
  rod::SpatialRodSolver primitive(64);
  ASSERT_TRUE(primitive.solve_from(points, p, {.most_iterations = 300}).converged());
  p.obstacles = {surface_of(shape::make_box(box.lower, box.upper - box.lower))};
  rod::SpatialRodSolver mesh(64);
  ASSERT_TRUE(mesh.solve_from(points, p, {.most_iterations = 300}).converged());
  EXPECT_GT(pressed(primitive), 0.1);
  EXPECT_NEAR(pressed(mesh), pressed(primitive), 1e-4);
  for (const Vec3& q : mesh.points()) {
    EXPECT_GE(rod::distance_to(rod::SolidBox{box}, q).value_mm, 6.0 - 1e-4);
  }
  EXPECT_LT(apart(mesh, primitive), 1e-2);
}

}  // namespace
}  // namespace bight::study
