// The spatial rod against bodies other than a floor, and with the joint limits of a chain.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/tolerance.h"
#include "rod/spatial_rod.h"

namespace bight::rod {
namespace {

/// Supports + contacts - weight: nothing is left over.
Vec3 unbalanced(const SpatialRodFigures& f, double weight_N) {
  Vec3 sum = f.start_force_N + f.end_force_N - Vec3(0.0, 0.0, weight_N);
  for (const RodContact& c : f.contacts) sum += c.force_N;
  return sum;
}

TEST(RodContact, OverABarPressesWithTheTensionOnBothSides) {
  // A limp cable of 870 mm over a bar of 40 mm radius, pulled taut by its own length: on a
  // frictionless bar the tension is the same on both sides but for the weight.
  SpatialRodProblem p{.length_mm = 870.0, .mass_kg_m = 0.05, .stiffness_Nm2 = 0.001};
  p.start = {-250.0, 0.0, 0.0};
  p.end = {250.0, 0.0, 0.0};
  p.radius_mm = 5.0;
  p.obstacles = {Capsule{{0.0, -200.0, 300.0}, {0.0, 200.0, 300.0}, 40.0}};
  // A start across the top, where the cold one would hang below.
  std::vector<Vec3> points;
  for (int i = 0; i <= 120; ++i) {
    const double t = std::numbers::pi * (1.0 - i / 120.0);
    points.push_back({250.0 * std::cos(t), 0.0, 360.0 * std::sin(t)});
  }
  SpatialRodSolver solver(120);
  const RodReport report = solver.solve_from(points, p, {.most_iterations = 300});
  ASSERT_EQ(report.status, RodStatus::converged) << report.residual;
  const SpatialRodFigures f = solver.figures();
  ASSERT_FALSE(f.contacts.empty());
  EXPECT_LT(glm::length(unbalanced(f, 0.87 * 0.05 * k_gravity)), 1e-5);
  for (const Vec3& q : solver.points()) {
    EXPECT_GE(std::hypot(q.x, q.z - 300.0), 45.0 - 1e-5);
  }
  for (const RodContact& c : f.contacts) {
    EXPECT_NEAR(std::hypot(c.point.x, c.point.z - 300.0), 45.0, 1e-3);
    EXPECT_GT(c.force_N.z, 0.0);
  }
  EXPECT_NEAR(f.start_force_N.z, f.end_force_N.z, 1e-5);
}

TEST(RodContact, OverTheEdgeOfATableHangsClearOfItsSide) {
  // Clamped on the table top, running off its edge: the box carries the first part.
  SpatialRodProblem p{.length_mm = 600.0, .mass_kg_m = 0.3, .stiffness_Nm2 = 0.01};
  p.start = {-300.0, 0.0, 4.0};
  p.start_tangent = Vec3(1.0, 0.0, 0.0);
  p.end_is_free = true;
  p.radius_mm = 4.0;
  p.obstacles = {SolidBox{Box{Vec3(-500.0, -300.0, -400.0), Vec3(0.0, 300.0, 0.0)}}};
  SpatialRodSolver solver(120);
  const RodReport report = solver.solve_cold(p, {.most_iterations = 300});
  ASSERT_EQ(report.status, RodStatus::converged) << report.residual;
  const SpatialRodFigures f = solver.figures();
  EXPECT_LT(glm::length(unbalanced(f, 0.6 * 0.3 * k_gravity)), 1e-5);
  ASSERT_FALSE(f.contacts.empty());
  EXPECT_LT(solver.points().back().z, -100.0);
  for (const Vec3& q : solver.points()) {
    EXPECT_GE(distance_to(p.obstacles[0], q).value_mm, 4.0 - 1e-5);
  }
}

TEST(RodContact, IsNoneWhereTheLineHangsClear) {
  SpatialRodProblem p{.length_mm = 900.0, .mass_kg_m = 0.1, .stiffness_Nm2 = 0.02};
  p.end = {260.0, 40.0, 0.0};
  SpatialRodSolver solver(64);
  ASSERT_TRUE(solver.solve_cold(p).converged());
  const SpatialRodFigures clear = solver.figures();
  p.obstacles = {Floor{-1000.0}, Capsule{{0.0, 800.0, 0.0}, {500.0, 800.0, 0.0}, 50.0}};
  ASSERT_TRUE(solver.solve_cold(p).converged());
  EXPECT_TRUE(solver.figures().contacts.empty());
  EXPECT_NEAR(solver.figures().energy_Nmm, clear.energy_Nmm, 1e-5);
}

// Random poses over a floor: each that converges is balanced, keeps off the floor, and all
// converge.
TEST(RodContact, SettlesOnAFloorFromManyPoses) {
  SpatialRodSolver solver(48);
  for (int i = 0; i < 40; ++i) {
    SpatialRodProblem p{.length_mm = 1500.0, .mass_kg_m = 0.2, .stiffness_Nm2 = 0.02};
    p.start = {0.0, 0.0, 400.0};
    p.end = {400.0 + 23.0 * i, 100.0 * std::sin(0.7 * i), 300.0 + 5.0 * i};
    p.start_tangent = Vec3(0.0, 0.0, -1.0);
    p.end_tangent = glm::normalize(Vec3(0.2, 0.3, 1.0));
    p.radius_mm = 6.0;
    p.obstacles = {Floor{0.0}};
    const RodReport report = solver.solve_cold(p);
    ASSERT_EQ(report.status, RodStatus::converged) << i << ": " << report.residual;
    const SpatialRodFigures f = solver.figures();
    EXPECT_LT(glm::length(unbalanced(f, 1.5 * 0.2 * k_gravity)), 1e-4);
    for (const Vec3& q : solver.points()) EXPECT_GE(q.z, 6.0 - 1e-5);
  }
}

// A chain that folds to R = 60 mm one way only, with its moving end 140 mm high (more than 2 R)
// over the floor that carries its lower run: the upper run tilts down from the bracket by beta, the
// arc turns 180 deg - beta. From l_u sin(beta) = hc - R (1 + cos(beta)) and the length 700 mm: beta
// = 2.958063 deg, front of the arc at x = 445.49368 mm.
TEST(RodContact, AChainWithJointLimitsTakesTheShapeOfItsGeometry) {
  constexpr int k_links = 140;
  SpatialRodSolver solver(k_links);
  SpatialRodProblem p{.length_mm = 700.0, .mass_kg_m = 1.0, .stiffness_Nm2 = 1e-4};
  p.start = {260.0, 0.0, 0.0};
  p.end = {0.0, 0.0, 140.0};
  p.start_tangent = Vec3(1.0, 0.0, 0.0);
  p.end_tangent = Vec3(-1.0, 0.0, 0.0);
  p.space = RodSpace::xz_plane;
  p.obstacles = {Floor{0.0}};
  p.limits = CurvatureLimits{0.0, 1000.0 / 60.0};
  const auto loop = [&](double height) {  // lower run, half circle, upper run
    std::vector<Vec3> points;
    const double r = 0.5 * height;
    const double run = 0.5 * (700.0 - std::numbers::pi * r - 260.0);
    for (int i = 0; i <= k_links; ++i) {
      const double s = 700.0 * i / k_links;
      const double a = std::clamp((s - run) / r, 0.0, std::numbers::pi);
      points.push_back({260.0 + std::min(s, run) + r * std::sin(a) -
                            std::max(0.0, s - run - std::numbers::pi * r),
                        0.0, r - r * std::cos(a)});
    }
    return points;
  };
  const RodReport report = solver.solve_from(loop(140.0), p, {.most_iterations = 300});
  ASSERT_EQ(report.status, RodStatus::converged) << report.residual;
  double front = 0.0;
  for (const Vec3& q : solver.points()) front = std::max(front, q.x);
  EXPECT_NEAR(front, 445.49368, 0.05);
  EXPECT_NEAR(solver.figures().smallest_radius_mm, 60.0, 1e-3);
  // No joint bends backwards.
  const std::vector<Vec3> q = solver.points();
  for (std::size_t i = 1; i + 1 < q.size(); ++i) {
    const Vec3 a = q[i] - q[i - 1];
    const Vec3 b = q[i + 1] - q[i];
    EXPECT_GE(a.x * b.z - a.z * b.x, -1e-6);
  }
  // A chain cannot turn back within less than 2 R of height.
  p.end.z = 110.0;
  EXPECT_NE(solver.solve_from(loop(110.0), p, {.most_iterations = 300}).status,
            RodStatus::converged);
}

}  // namespace
}  // namespace bight::rod
