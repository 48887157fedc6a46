#include "rod/swing.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "base/tolerance.h"

namespace bight::rod {
namespace {

SpatialRodProblem hanging(double length, double mass) {
  SpatialRodProblem p{.length_mm = length, .mass_kg_m = mass, .stiffness_Nm2 = 1e-9};
  p.end_is_free = true;
  return p;
}

// Zeros of the Bessel function J_0 (D. Bernoulli 1732, Euler 1781): omega = (j / 2) sqrt(g / L).
TEST(Swing, OfALimpLineFromAPivotHasBernoullisFrequencies) {
  for (double length : {300.0, 500.0, 1000.0}) {
    const SwingModes s = swing_modes(hanging(length, 0.1), 3, 400);
    ASSERT_EQ(s.modes.size(), 3U);
    const double zeros[] = {2.404825557696, 5.520078110286, 8.653727912911};
    for (int k = 0; k < 3; ++k) {
      const double expected = 0.5 * zeros[k] * std::sqrt(k_gravity * 1000.0 / length);
      EXPECT_NEAR(s.modes[static_cast<std::size_t>(k)].omega_rad_s, expected, 2e-4 * expected);
    }
  }
}

// Bessel functions J and Y; beam elements agree to 1e-9.
TEST(Swing, WithAMassAtTheEndIsSlower) {
  struct Row {
    double length, mass, end_mass, omega;
  };
  for (const Row& r : {Row{500, 0.1, 0.05, 4.678568}, Row{800, 0.08, 0.2, 3.581783}}) {
    SpatialRodProblem p = hanging(r.length, r.mass);
    p.point_masses = {{r.length, r.end_mass}};
    const SwingModes s = swing_modes(p, 1);
    ASSERT_EQ(s.modes.size(), 1U);
    EXPECT_NEAR(s.modes[0].omega_rad_s, r.omega, 2e-4 * r.omega);
    EXPECT_NEAR(s.modes[0].period_s, 2.0 * std::numbers::pi / r.omega, 1e-3);
  }
}

// Clamped above, stiffness e = EI / (w L^3): shooting and beam elements agree to 1e-6.
TEST(Swing, OfAClampedLineGrowsWithItsStiffness) {
  struct Row {
    double e, omega;
  };
  for (const Row& r : {Row{0.001, 1.223659}, Row{0.01, 1.286874}, Row{0.05, 1.475307},
                       Row{0.2, 2.009918}, Row{1, 3.732626}}) {
    SpatialRodProblem p = hanging(1000.0, 1.0 / k_gravity);
    p.stiffness_Nm2 = r.e;
    p.start_tangent = Vec3(0.0, 0.0, -1.0);
    const SwingModes s = swing_modes(p, 1, 300);
    ASSERT_EQ(s.modes.size(), 1U);
    EXPECT_NEAR(s.modes[0].omega_rad_s / std::sqrt(k_gravity), r.omega, 1e-3 * r.omega) << r.e;
  }
}

// Limp line between fixed ends, sideways: shooting and elements agree to 1e-9.
TEST(Swing, OfACatenarySidewaysAgreesWithShooting) {
  struct Row {
    double dx, dz, length, omega;
  };
  for (const Row& r :
       {Row{800, 0, 1000, 6.830307}, Row{300, 0, 1000, 5.437911}, Row{600, 250, 900, 6.550187}}) {
    SpatialRodProblem p{.length_mm = r.length, .mass_kg_m = 0.1, .stiffness_Nm2 = 1e-7};
    p.end = {r.dx * 0.6, r.dx * 0.8, r.dz};
    const SwingModes s = swing_modes(p, 1);
    ASSERT_EQ(s.modes.size(), 1U);
    EXPECT_NEAR(s.modes[0].omega_rad_s, r.omega, 5e-4 * r.omega);
  }
}

// A heavy bob on a light line is a pendulum: known exactly for any push.
TEST(Swing, OfAPendulumAfterAMoveIsThatOfAnOscillator) {
  SpatialRodProblem p = hanging(1000.0, 1e-4);
  p.point_masses = {{1000.0, 1.0}};
  const SwingModes s = swing_modes(p, 1);
  ASSERT_EQ(s.modes.size(), 1U);
  const double omega = std::sqrt(k_gravity);
  EXPECT_NEAR(s.modes[0].omega_rad_s, omega, 1e-3);
  EXPECT_NEAR(std::abs(s.modes[0].share_of_start), 1.0, 1e-3);
  const AcrossMove move{
      .distance_mm = 600, .speed_mm_s = 400, .acceleration_mm_s2 = 800, .moves_start = true};
  // Integrated step by step: q'' = -omega^2 q - b''.
  double q = 0.0;
  double v = 0.0;
  double most = 0.0;
  constexpr double k_step = 1e-5;
  const double ramp = 0.5;
  const double whole = 600.0 / 400.0 + ramp;
  const auto rate = [&](double t) {
    return t < ramp ? 800.0 : t < whole - ramp ? 0.0 : t < whole ? -800.0 : 0.0;
  };
  double t = 0.0;
  for (; t < whole; t += k_step) {
    v += k_step * (-omega * omega * q - rate(t));
    q += k_step * v;
    most = std::max(most, std::abs(q));
  }
  const double left = std::sqrt(q * q + v * v / (omega * omega));
  const SwingAmplitude swing = swing_after(s, move);
  EXPECT_NEAR(swing.after_mm, left, 0.01 * left + 0.1);
  EXPECT_GE(swing.greatest_mm, std::max(most, left) - 0.1);
  EXPECT_LE(swing.greatest_mm, 4.0 * 800.0 / (omega * omega));
  // A move whose ramp lasts a whole period leaves no swing.
  const double period = 2.0 * std::numbers::pi / s.modes[0].omega_rad_s;
  const AcrossMove smooth{.distance_mm = 2000,
                          .speed_mm_s = 100 * period,
                          .acceleration_mm_s2 = 100,
                          .moves_start = true};
  EXPECT_NEAR(swing_after(s, smooth).after_mm, 0.0, 1e-6);
}

TEST(Swing, NeedsOneVerticalPlane) {
  SpatialRodProblem p{.length_mm = 1000.0, .mass_kg_m = 0.1, .stiffness_Nm2 = 0.01};
  p.end = {500.0, 0.0, 0.0};
  p.end_tangent = Vec3(0.0, 1.0, 0.0);
  EXPECT_EQ(swing_modes(p, 1).report.status, RodStatus::invalid);
  p.end_tangent.reset();
  p.end.x = 1100.0;
  EXPECT_EQ(swing_modes(p, 1).report.status, RodStatus::too_short);
}

}  // namespace
}  // namespace bight::rod
