// Lines in motion against pendulums, hanging chains and vibrating beams of textbooks, and against
// the law of conservation of energy.

#include "rod/rod_motion.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>

#include "base/tolerance.h"
#include "rod/rapid_swing.h"
#include "rod/swing.h"
#include "rod_motion_fixture.h"

namespace bight::rod {
namespace {

/// Joints below each other, displaced sideways by `aside` of the share of the length from the free
/// end; links keep their length.
std::vector<Vec3> hanging(double length, int links, const std::function<double(double)>& aside) {
  std::vector<Vec3> points{{aside(1.0), 0.0, 0.0}};
  for (int i = 1; i <= links; ++i) {
    const double x = aside(1.0 - static_cast<double>(i) / links);
    const double dx = x - points.back().x;
    const double l = length / links;
    points.push_back({x, 0.0, points.back().z - std::sqrt(l * l - dx * dx)});
  }
  return points;
}

// D. Bernoulli 1732, in Bessel functions: omega = (j / 2) sqrt(g / L), shape J0(j sqrt(x / L)) with
// x from the free end; j = 2.404825557696 and 5.520078110286 (zeros of J0). So the slowest has
// omega = 1.2024 sqrt(g / L).
TEST(RodMotion, AHangingLineSwingsInBernoullisModes) {
  SpatialRodProblem p{.length_mm = 500.0, .mass_kg_m = 0.1, .stiffness_Nm2 = 1e-8};
  p.end_is_free = true;
  for (const double zero : {2.404825557696, 5.520078110286}) {
    RodMotion motion = motion_of(p, hanging(500.0, 100, [zero](double x) {
                                   return 2.0 * std::cyl_bessel_j(0.0, zero * std::sqrt(x));
                                 }));
    const double period = period_of(motion, p, 0.004, 6.0,
                                    [](const RodMotion& m) { return m.line().points().back().x; });
    const double omega = 0.5 * zero * std::sqrt(k_g_mm / 500.0);
    EXPECT_NEAR(2.0 * std::numbers::pi / period, omega, 0.002 * omega);
  }
}

// A stiff rod on a pivot, let go 60 deg aside: T = 4 sqrt(2 L / (3 g)) K(sin 30 deg), the complete
// elliptic integral (physical pendulum with I = m L^2 / 3). Lumped masses make I smaller by a share
// of 1 / (2 n^2).
TEST(RodMotion, AStiffRodOnAPivotIsThePhysicalPendulum) {
  SpatialRodProblem p{.length_mm = 400.0, .mass_kg_m = 0.1, .stiffness_Nm2 = 5.0};
  p.end_is_free = true;
  std::vector<Vec3> points;
  for (int i = 0; i <= 40; ++i) {
    const double s = 10.0 * i;
    const double angle = std::numbers::pi / 3.0;
    points.push_back({0.6 * s * std::sin(angle), 0.8 * s * std::sin(angle), -s * std::cos(angle)});
  }
  RodMotion motion = motion_of(p, points);
  const double period = period_of(motion, p, 0.002, 8.0,
                                  [](const RodMotion& m) { return m.line().points().back().x; });
  const double want = 4.0 * std::sqrt(2.0 * 400.0 / (3.0 * k_g_mm)) *
                      std::comp_ellint_1(std::sin(std::numbers::pi / 6.0));
  EXPECT_NEAR(period, want, 1e-3 * want);
}

// Euler-Bernoulli cantilever: omega_1 = 3.51602 sqrt(EI / (m L^4)) (Timoshenko, Vibration Problems
// in Engineering). Let go from the straight, it vibrates about its sag, almost all in the first
// mode.
TEST(RodMotion, ACantileverVibratesInItsFirstMode) {
  SpatialRodProblem p{.length_mm = 300.0, .mass_kg_m = 0.1, .stiffness_Nm2 = 0.5};
  p.end_is_free = true;
  p.start_tangent = Vec3(1.0, 0.0, 0.0);
  std::vector<Vec3> points;
  for (int i = 0; i <= 60; ++i) points.push_back({5.0 * i, 0.0, 0.0});
  RodMotion motion = motion_of(p, points);
  const double sag = 0.1 * k_gravity * 1e-3 * std::pow(300.0, 4) / (8.0 * 0.5e6);
  const double period = period_of(
      motion, p, 5e-4, 1.0, [sag](const RodMotion& m) { return m.line().points().back().z + sag; });
  const double omega = 3.51602 * std::sqrt(0.5 / (0.1 * std::pow(0.3, 4)));
  EXPECT_NEAR(2.0 * std::numbers::pi / period, omega, 0.005 * omega);
}

// A slack line let go from a wild shape, with steps far longer than its bending vibrations (16 ms;
// the fastest of these have 0.2 ms): energy neither grows nor fades, links keep their length.
TEST(RodMotion, KeepsItsEnergyWhateverTheStep) {
  SpatialRodProblem p{.length_mm = 1000.0, .mass_kg_m = 0.1, .stiffness_Nm2 = 0.01};
  p.end = {600.0, 0.0, 0.0};
  p.start_tangent = Vec3(0.0, 0.0, -1.0);
  SpatialRodSolver solver(40);
  SpatialRodProblem aside = p;
  aside.end = {500.0, 250.0, 100.0};
  ASSERT_TRUE(solver.solve_cold(aside).converged());
  std::vector<Vec3> points = solver.points();
  ASSERT_TRUE(solver.solve_cold(p).converged());
  const double at_rest = motion_of(p, solver.points()).energy_Nmm();
  RodMotion motion = motion_of(aside, points);
  std::vector<Vec3> velocity(points.size(), Vec3(0.0));
  for (std::size_t i = 1; i + 1 < points.size(); ++i) {  // turn about the line of the ends
    const Vec3 axis = glm::normalize(aside.end);
    velocity[i] = glm::cross(6.0 * axis, points[i]);
  }
  motion.set_velocities(velocity);
  const double energy = motion.energy_Nmm();
  ASSERT_GT(energy, at_rest + 20.0);
  for (int i = 0; i < 1500; ++i) {
    ASSERT_TRUE(step(motion, 0.016, aside)) << i;
    ASSERT_NEAR(motion.energy_Nmm(), energy, 1e-5 * std::abs(energy)) << i;
    ASSERT_LT(motion.longest_stretch(), 1e-8) << i;
  }
}

TEST(RodMotion, StaysAtRestWhereItHangs) {
  SpatialRodProblem p{.length_mm = 900.0, .mass_kg_m = 0.085, .stiffness_Nm2 = 0.012};
  p.end = {220.0, 0.0, 60.0};
  p.start_tangent = Vec3(0.0, 0.0, -1.0);
  p.end_tangent = Vec3(0.0, 0.0, 1.0);
  SpatialRodSolver solver(48);
  ASSERT_TRUE(solver.solve_cold(p).converged());
  RodMotion motion = motion_of(p, solver.points());
  for (int i = 0; i < 100; ++i) ASSERT_TRUE(step(motion, 0.01, p));
  for (std::size_t i = 0; i < motion.line().points().size(); ++i) {
    EXPECT_LT(glm::distance(motion.line().points()[i], solver.points()[i]), 1e-3);
  }
}

// The error of the place after a given time falls with the square of the step.
TEST(RodMotion, IsOfSecondOrderInTheStep) {
  SpatialRodProblem p{.length_mm = 500.0, .mass_kg_m = 0.1, .stiffness_Nm2 = 1e-6};
  p.end_is_free = true;
  const auto tip = [&](int steps) {
    RodMotion motion =
        motion_of(p, hanging(500.0, 8, [](double x) {
                    return 60.0 * std::cyl_bessel_j(0.0, 2.404825557696 * std::sqrt(x));
                  }));
    for (int i = 0; i < steps; ++i) EXPECT_TRUE(step(motion, 0.5 / steps, p));
    return motion.line().points().back();
  };
  const Vec3 finest = tip(3200);
  const double coarse = glm::distance(tip(100), finest);
  const double fine = glm::distance(tip(200), finest);
  EXPECT_GT(coarse / fine, 3.3);
  EXPECT_LT(coarse / fine, 5.0);
}

/// A catenary of 800 mm span and 1 m length whose ends are carried sideways by 2 mm.
struct Carried {
  SpatialRodProblem problem;
  std::vector<Vec3> rest;
  RapidMove move;
  EndRates rates;
};
Carried carried(const Vec3& rate) {
  Carried c;
  c.problem = {.length_mm = 1000.0, .mass_kg_m = 0.1, .stiffness_Nm2 = 1e-5};
  c.problem.end = {800.0, 0.0, 0.0};
  SpatialRodSolver solver(64);
  EXPECT_TRUE(solver.solve_cold(c.problem).converged());
  c.rest = solver.points();
  c.move = {.distance_mm = 20.0, .speed_mm_s = 60.0, .acceleration_mm_s2 = 1000.0};
  c.rates = {rate, rate};
  return c;
}

// Small sideways swings: the slowest mode of the catenary has a period of 0.919898 s (shooting and
// elements, relative 1e-9); the amplitude is within the sum of the modes' amplitudes, and not far
// below it. Two sources that share nothing but the equilibrium: modes, and steps through time.
TEST(SwingAfterMove, AcrossThePlaneAgreesWithTheModes) {
  const Carried c = carried({0.0, 1.0, 0.0});
  const SwingResult swing =
      swing_after_move(c.problem, c.rest, c.move, c.rates, {.step_s = 0.004, .watched_s = 4.0});
  ASSERT_TRUE(swing.converged());
  const SwingModes modes = swing_modes(c.problem, 8, 64);
  double bound = 0.0;
  for (const bool start : {true, false}) {
    bound += swing_after(modes, {.distance_mm = 20.0,
                                 .speed_mm_s = 60.0,
                                 .acceleration_mm_s2 = 1000.0,
                                 .moves_start = start})
                 .after_mm;
  }
  EXPECT_LT(swing.across_mm, 1.02 * bound);
  EXPECT_GT(swing.across_mm, 0.8 * bound);
  EXPECT_LT(swing.in_plane_mm, 0.1 * swing.across_mm);
  double first = 0.0;
  double last = 0.0;
  int passages = 0;
  const std::size_t middle = 32;
  const std::vector<std::vector<Vec3>>& frames = swing.lines.front().frames;
  for (std::size_t i = 1; i < frames.size(); ++i) {
    const double before = frames[i - 1][middle].y;
    const double now = frames[i][middle].y;
    if (before < 0.0 && now >= 0.0) {
      last = 0.004 * (static_cast<double>(i) + before / (before - now));
      if (passages++ == 0) first = last;
    }
  }
  ASSERT_GE(passages, 3);
  EXPECT_NEAR((last - first) / (passages - 1), 0.919898, 0.02);
}

TEST(SwingAfterMove, InThePlaneStaysInIt) {
  const Carried c = carried({1.0, 0.0, 0.0});
  const SwingResult swing =
      swing_after_move(c.problem, c.rest, c.move, c.rates, {.step_s = 0.004, .watched_s = 2.0});
  ASSERT_TRUE(swing.converged());
  EXPECT_GT(swing.in_plane_mm, 1.0);
  EXPECT_LT(swing.across_mm, 1e-6);
}

// From a pivot that stops dead, a compact load on a long line swings as a simple pendulum: after a
// stop from the speed v, v / omega; here after acceleration and a stop half a period apart, where
// both add up to twice as much.
TEST(SwingAfterMove, OfALoadOnALineIsThatOfAPendulum) {
  SpatialRodProblem p{.length_mm = 1000.0, .mass_kg_m = 0.001, .stiffness_Nm2 = 1e-6};
  p.end_is_free = true;
  p.point_masses = {{1000.0, 1.0}};
  const auto rest = hanging(1000.0, 16, [](double) { return 0.0; });
  const double omega = std::sqrt(k_g_mm / 1000.0);
  const double half_period = std::numbers::pi / omega;
  // Speed changes in 2 ms, as good as at once.
  const RapidMove move{
      .distance_mm = 20.0 * half_period, .speed_mm_s = 20.0, .acceleration_mm_s2 = 1e4};
  const SwingResult swing = swing_after_move(p, rest, move, {.start = {0.0, 1.0, 0.0}},
                                             {.step_s = 0.002, .watched_s = 2.2});
  ASSERT_TRUE(swing.converged());
  EXPECT_NEAR(swing.across_mm, 2.0 * 20.0 / omega, 0.01 * 2.0 * 20.0 / omega);
}

}  // namespace
}  // namespace bight::rod
