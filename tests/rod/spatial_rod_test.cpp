#include "rod/spatial_rod.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include "base/tolerance.h"

namespace bight::rod {
namespace {

constexpr double k_radians = std::numbers::pi / 180.0;

Vec3 tangent(double degrees, double azimuth_degrees = 0.0) {
  const double a = azimuth_degrees * k_radians;
  const double t = degrees * k_radians;
  return {std::cos(t) * std::cos(a), std::cos(t) * std::sin(a), std::sin(t)};
}

/// Length 1 m and weight 1 N/m, in the vertical plane that makes `azimuth` with x.
SpatialRodProblem unit_rod(double d, double h, double theta_a, double theta_b, double e,
                           double azimuth = 0.0) {
  SpatialRodProblem p{.length_mm = 1000.0, .mass_kg_m = 1.0 / k_gravity, .stiffness_Nm2 = e};
  p.start = {100.0, -50.0, 700.0};
  p.end = p.start +
          1000.0 * Vec3(d * std::cos(azimuth * k_radians), d * std::sin(azimuth * k_radians), h);
  p.start_tangent = tangent(theta_a, azimuth);
  p.end_tangent = tangent(theta_b, azimuth);
  return p;
}

/// Planar reference values as in the tests of the planar rod (three methods, 8e-10).
struct Row {
  const char* id;
  double d, h, theta_a, theta_b, e;
  double force, va, ma, mb, radius, half_x, half_y, lowest, tension;
};

constexpr Row k_rows[] = {
    {"HH2", 0.8, 0, 0, 0, 0.01, -0.1571885, -0.5, -0.0893953, -0.0893953, 0.111863, 0.4, -0.268823,
     -0.268823, 0.146844},
    {"HH4", 0.8, 0, 0, 0, 0.001, 0.2487760, -0.5, -0.0234615, -0.0234615, 0.042623, 0.4, -0.268401,
     -0.268401, 0.483229},
    {"UU3", 0.25, 0, -90, 90, 0.003, -0.0570631, -0.5, -0.0041359, -0.0041359, 0.107849, 0.125,
     -0.430954, -0.430954, 0.500000},
    {"DH2", 0.6, -0.3, -90, 0, 0.005, 0.0257576, -0.5681798, 0.0043489, -0.0494281, 0.101157,
     0.156669, -0.452736, -0.478304, 0.568180},
};

TEST(SpatialRod, IsThePlanarShapeInAnyVerticalPlane) {
  SpatialRodSolver solver(256);
  for (const Row& r : k_rows) {
    for (double azimuth : {0.0, 37.0, 90.0, 200.0}) {
      SCOPED_TRACE(testing::Message() << r.id << " at " << azimuth);
      const SpatialRodProblem p = unit_rod(r.d, r.h, r.theta_a, r.theta_b, r.e, azimuth);
      const RodReport report = solver.solve_cold(p);
      ASSERT_EQ(report.status, RodStatus::converged) << report.residual;
      const SpatialRodFigures f = solver.figures();
      const Vec3 along = tangent(0.0, azimuth);
      EXPECT_NEAR(glm::dot(f.end_force_N, along), r.force, 1e-3);
      EXPECT_NEAR(glm::dot(f.end_force_N, Vec3(-along.y, along.x, 0.0)), 0.0, 1e-6);
      EXPECT_NEAR(-f.start_force_N.z, r.va, 1e-3);
      EXPECT_NEAR(f.start_moment_Nmm / 1000.0, std::abs(r.ma), 2e-3 * std::abs(r.ma) + 2e-5);
      EXPECT_NEAR(f.end_moment_Nmm / 1000.0, std::abs(r.mb), 2e-3 * std::abs(r.mb) + 2e-5);
      EXPECT_NEAR(f.smallest_radius_mm / 1000.0, r.radius, 3e-3 * r.radius);
      EXPECT_NEAR(f.greatest_tension_N, r.tension, 3e-3);
      const Vec3 half = (solver.point_at(500.0) - p.start) / 1000.0;
      EXPECT_NEAR(glm::dot(half, along), r.half_x, 2e-4);
      EXPECT_NEAR(half.z, r.half_y, 2e-4);
      EXPECT_NEAR((f.lowest.z - p.start.z) / 1000.0, r.lowest, 2e-4);
    }
  }
}

TEST(SpatialRod, BalancesItsWeightAndKeepsItsLinks) {
  SpatialRodProblem p = unit_rod(0.6, -0.2, -90, 0, 0.01);
  p.end_tangent = glm::normalize(Vec3(0.3, 0.8, 0.2));  // out of the plane of the ends
  p.point_masses = {{300.0, 0.02}};
  SpatialRodSolver solver(64);
  const RodReport report = solver.solve_cold(p);
  ASSERT_EQ(report.status, RodStatus::converged);
  const SpatialRodFigures f = solver.figures();
  const Vec3 total = f.start_force_N + f.end_force_N;
  EXPECT_NEAR(total.x, 0.0, 1e-6);
  EXPECT_NEAR(total.y, 0.0, 1e-6);
  EXPECT_NEAR(total.z, 1.0 + 0.02 * k_gravity, 1e-6);
  const std::vector<Vec3> points = solver.points();
  for (std::size_t i = 1; i < points.size(); ++i) {
    EXPECT_NEAR(glm::distance(points[i - 1], points[i]), 1000.0 / 64.0, 1e-6);
  }
  double out_of_plane = 0.0;
  for (const Vec3& q : points) out_of_plane = std::max(out_of_plane, std::abs(q.y - p.start.y));
  EXPECT_GT(out_of_plane, 20.0);
}

TEST(SpatialRod, EndsWarmWhereItEndsCold) {
  SpatialRodProblem p = unit_rod(0.6, -0.2, -90, 0, 0.01);
  p.end_tangent = glm::normalize(Vec3(0.3, 0.8, 0.2));
  SpatialRodSolver warm(64);
  SpatialRodSolver cold(64);
  ASSERT_TRUE(warm.solve(p).converged());
  int steps = 0;
  for (int i = 0; i < 40; ++i) {
    p.end += Vec3(-3.0, 5.0, 2.0);
    const RodReport report = warm.solve(p);
    ASSERT_TRUE(report.converged());
    steps += report.iterations;
  }
  EXPECT_LE(steps, 120);
  ASSERT_TRUE(cold.solve_cold(p).converged());
  EXPECT_NEAR(warm.figures().energy_Nmm, cold.figures().energy_Nmm, 1e-4);
  EXPECT_LT(glm::distance(warm.point_at(500.0), cold.point_at(500.0)), 1e-2);
}

// An arch clamped upright on both feet at once falls over sideways in space when it is soft, though
// it stands in its plane.
TEST(SpatialRod, FallsSidewaysOutOfAPlaneInWhichItWouldStand) {
  SpatialRodProblem p = unit_rod(0.35, 0, 90, -90, 0.01);
  SpatialRodSolver solver(64);
  p.space = RodSpace::xz_plane;
  p.start.y = p.end.y = 0.0;
  ASSERT_TRUE(solver.solve_cold(p).converged());
  const double upright = solver.figures().energy_Nmm;
  p.space = RodSpace::full;
  ASSERT_TRUE(solver.solve_cold(p).converged());
  EXPECT_LT(solver.figures().energy_Nmm, upright - 1.0);
}

// Random clamps in space, limp to stiff, up to 95 % of taut.
TEST(SpatialRod, ConvergesColdForRandomEnds) {
  std::mt19937 random(6);
  const auto any = [&](double lower, double upper) {
    return std::uniform_real_distribution<double>(lower, upper)(random);
  };
  const auto direction = [&] { return glm::normalize(Vec3(any(-1, 1), any(-1, 1), any(-1, 1))); };
  SpatialRodSolver solver(48);
  for (int i = 0; i < 200; ++i) {
    SpatialRodProblem p{.length_mm = 1000.0, .mass_kg_m = 1.0 / k_gravity};
    p.stiffness_Nm2 = std::pow(10.0, any(-5.0, 0.0));
    p.end = any(20.0, 950.0) * direction();
    if (i % 3 != 0) p.start_tangent = direction();
    if (i % 2 != 0) p.end_tangent = direction();
    const RodReport report = solver.solve_cold(p);
    ASSERT_EQ(report.status, RodStatus::converged) << i << ": " << report.residual;
    const SpatialRodFigures f = solver.figures();
    EXPECT_LT(glm::length(f.start_force_N + f.end_force_N - Vec3(0.0, 0.0, 1.0)),
              1e-6 * (1.0 + p.stiffness_Nm2 * 100.0));
  }
}

}  // namespace
}  // namespace bight::rod
