// Ends that slide along a line: roller supports of beam theory, and the condition that makes a
// slide one (no force along it, least energy of all places on it).

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "base/tolerance.h"
#include "rod/planar_rod.h"
#include "rod/rod.h"
#include "rod/spatial_rod.h"

namespace bight::rod {
namespace {

/// So stiff that beam theory of small deflections holds: e = EI / (w L^3) = 102.
PlanarRodProblem stiff_beam() {
  return {.length_mm = 1000.0,
          .mass_kg_m = 0.1,
          .stiffness_Nm2 = 100.0,
          .end = {1000.0, 0.0},
          .at_start = {EndKind::clamped, 0.0},
          .end_slide_deg = 0.0};
}
constexpr double k_weight_N = 0.1 * k_gravity;

// Propped cantilever and beam with both ends clamped, their right supports free to roll (elementary
// beam theory; no axial force, as nothing holds the line's length).
TEST(SlidingEnd, OnARollerIsTheProppedCantilever) {
  const RodResult r = solve_rod(stiff_beam());
  ASSERT_TRUE(r.converged());
  EXPECT_NEAR(r.figures.vertical_end_N, 0.375 * k_weight_N, 1e-5);
  EXPECT_NEAR(r.figures.moment_start_Nmm, -k_weight_N * 1000.0 / 8.0, 0.02);
  EXPECT_NEAR(r.figures.horizontal_force_N, 0.0, 1e-9);
}

TEST(SlidingEnd, WithAClampOnARollerIsTheBeamClampedTwice) {
  PlanarRodProblem p = stiff_beam();
  p.at_end = {EndKind::clamped, 0.0};
  const RodResult r = solve_rod(p);
  ASSERT_TRUE(r.converged());
  EXPECT_NEAR(r.figures.vertical_end_N, 0.5 * k_weight_N, 1e-6);
  EXPECT_NEAR(r.figures.moment_start_Nmm, -k_weight_N * 1000.0 / 12.0, 0.02);
  EXPECT_NEAR(r.figures.moment_end_Nmm, -k_weight_N * 1000.0 / 12.0, 0.02);
}

TEST(SlidingEnd, OnAnInclinedRollerIsPushedAcrossItOnly) {
  PlanarRodProblem p = stiff_beam();
  p.end_slide_deg = 30.0;
  PlanarRodSolver solver(64);
  ASSERT_TRUE(solver.solve_cold(p).converged());
  const PlanarRodFigures f = solver.figures();
  const double angle = 30.0 * std::numbers::pi / 180.0;
  EXPECT_NEAR(f.horizontal_force_N * std::cos(angle) + f.vertical_end_N * std::sin(angle), 0.0,
              1e-9);
  // On the line through (1000, 0).
  const Vec2 tip = solver.points().back() - Vec2(1000.0, 0.0);
  EXPECT_NEAR(tip.x * std::sin(angle) - tip.y * std::cos(angle), 0.0, 1e-5);
}

/// A slack line that leaves its start downward, its end clamped on a slide.
PlanarRodProblem slack(double slide_deg, double end_angle_deg) {
  return {.length_mm = 900.0,
          .mass_kg_m = 0.085,
          .stiffness_Nm2 = 0.012,
          .end = {320.0, 60.0},
          .at_start = {EndKind::clamped, -90.0},
          .at_end = {EndKind::clamped, end_angle_deg},
          .end_slide_deg = slide_deg};
}

// An end held at the place where the sliding one came to rest feels no force along the slide, and
// has less energy than one held 5 mm beside it: the slide is the minimum over its own line.
TEST(SlidingEnd, RestsWhereAHeldEndHasLeastEnergy) {
  for (const double slide : {0.0, 25.0, -70.0}) {
    for (const double angle : {90.0, 0.0}) {
      const PlanarRodProblem p = slack(slide, angle);
      PlanarRodSolver solver(64);
      ASSERT_TRUE(solver.solve_cold(p).converged()) << slide << " " << angle;
      const double energy = solver.figures().energy_Nmm;
      const Vec2 tip = solver.points().back();
      const Vec2 along(std::cos(slide * std::numbers::pi / 180.0),
                       std::sin(slide * std::numbers::pi / 180.0));
      PlanarRodProblem held = p;
      held.end_slide_deg.reset();
      const std::vector<double> start(solver.angles_rad().begin(), solver.angles_rad().end());
      PlanarRodSolver other(64);
      held.end = tip;
      ASSERT_TRUE(other.solve_from(start, held).converged());
      EXPECT_NEAR(other.figures().energy_Nmm, energy, 1e-6);
      for (const double aside : {-5.0, 5.0}) {
        held.end = tip + aside * along;
        ASSERT_TRUE(other.solve_from(start, held).converged());
        EXPECT_GT(other.figures().energy_Nmm, energy) << slide << " " << angle << " " << aside;
      }
    }
  }
}

TEST(SlidingEnd, WarmIsTheSameAsColdWhileTheSlideMoves) {
  PlanarRodSolver warm(64);
  PlanarRodSolver cold(64);
  PlanarRodProblem p = slack(20.0, 90.0);
  for (int i = 0; i < 20; ++i) {
    p.end.y = 60.0 + 8.0 * i;
    ASSERT_TRUE(warm.solve(p).converged());
    ASSERT_TRUE(cold.solve_cold(p).converged());
    EXPECT_NEAR(warm.points().back().x, cold.points().back().x, 1e-3) << i;
  }
}

TEST(SlidingEnd, BeyondReachItComesBackAlongItsSlide) {
  PlanarRodProblem p = slack(0.0, 90.0);
  p.end = {2000.0, 60.0};
  PlanarRodSolver solver(64);
  ASSERT_TRUE(solver.solve_cold(p).converged());
  EXPECT_NEAR(solver.points().back().y, 60.0, 1e-4);
  p.end = {2000.0, 950.0};  // nowhere on this line
  EXPECT_EQ(solver.solve_cold(p).status, RodStatus::too_short);
}

TEST(SlidingEnd, InSpaceIsThePlanarOneInAnyVerticalPlane) {
  for (const double slide : {0.0, 25.0}) {
    const PlanarRodProblem flat = slack(slide, 90.0);
    PlanarRodSolver planar(192);
    ASSERT_TRUE(planar.solve_cold(flat).converged());
    const Vec3 along(0.6, 0.8, 0.0);
    const double angle = slide * std::numbers::pi / 180.0;
    SpatialRodProblem p{.length_mm = 900.0, .mass_kg_m = 0.085, .stiffness_Nm2 = 0.012};
    p.end = 320.0 * along + Vec3(0.0, 0.0, 60.0);
    p.start_tangent = Vec3(0.0, 0.0, -1.0);
    p.end_tangent = Vec3(0.0, 0.0, 1.0);
    p.end_slide = std::cos(angle) * along + Vec3(0.0, 0.0, std::sin(angle));
    SpatialRodSolver solver(192);
    std::vector<Vec3> start;
    for (const Vec2& q : planar.points()) start.push_back(q.x * along + Vec3(0.0, 0.0, q.y));
    const RodReport report = solver.solve_from(start, p);
    ASSERT_TRUE(report.converged()) << report.residual;
    const Vec3 tip = solver.points().back();
    EXPECT_NEAR(glm::dot(tip, along), planar.points().back().x, 0.15);  // of 900 mm, both O(l^2)
    EXPECT_NEAR(tip.z, planar.points().back().y, 0.1);
    EXPECT_NEAR(glm::dot(solver.figures().end_force_N, *p.end_slide), 0.0, 1e-7);
  }
}

// Across the plane of the line: a limp line pulls its end home to the plane, a stiff one pushes it
// away; and with the clamp turned it settles where the line lets go of it.
TEST(SlidingEnd, AcrossItsPlaneFeelsNoForceThere) {
  SpatialRodProblem p{.length_mm = 900.0, .mass_kg_m = 0.085, .stiffness_Nm2 = 0.0005};
  p.end = {320.0, 150.0, 60.0};
  p.start_tangent = Vec3(0.0, 0.0, -1.0);
  p.end_slide = Vec3(0.0, 1.0, 0.0);
  SpatialRodSolver solver(64);
  ASSERT_TRUE(solver.solve_cold(p).converged());
  EXPECT_NEAR(solver.points().back().y, 0.0, 1e-3);
  p.stiffness_Nm2 = 0.012;
  ASSERT_TRUE(solver.solve_cold(p).converged());
  EXPECT_GT(std::abs(solver.points().back().y), 100.0);
  EXPECT_NEAR(solver.figures().end_force_N.y, 0.0, 1e-7);
  p.stiffness_Nm2 = 0.0005;
  p.end_tangent = glm::normalize(Vec3(0.2, 0.4, 0.8));
  ASSERT_TRUE(solver.solve_cold(p).converged());
  EXPECT_NEAR(solver.figures().end_force_N.y, 0.0, 1e-7);
  EXPECT_GT(std::abs(solver.points().back().y), 1.0);
  // Warm, with the slide moved.
  p.end.x = 330.0;
  ASSERT_TRUE(solver.solve(p).converged());
  EXPECT_NEAR(solver.figures().end_force_N.y, 0.0, 1e-7);
  EXPECT_NEAR(solver.points().back().x, 330.0, 1e-4);
}

}  // namespace
}  // namespace bight::rod
