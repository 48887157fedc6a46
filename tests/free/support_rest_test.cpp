#include "free/support_rest.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "base/tolerance.h"

namespace bight::free {
namespace {

/// A double well: energy (q^2 - 1)^2, rests at -1 and 1 and an unstable balance at 0.
Balance double_well(double q) {
  const double e = q * q - 1.0;
  return {-4.0 * q * e, 0.0, e * e};
}

TEST(StableRests, FindsBothBottomsOfADoubleWellAndNotItsTop) {
  const Rests rests = stable_rests(double_well, {-2.0, 2.0, false, true, 64});
  ASSERT_EQ(rests.stable.size(), 2U);
  EXPECT_NEAR(rests.stable[0], -1.0, 1e-12);
  EXPECT_NEAR(rests.stable[1], 1.0, 1e-12);
}

TEST(StableRests, CountsAStopThatIsPushedAgainst) {
  const Rests rests = stable_rests(double_well, {-0.5, 2.0, false, true, 64});
  ASSERT_EQ(rests.stable.size(), 2U);
  EXPECT_EQ(rests.stable[0], -0.5);
}

TEST(StableRests, SaysWhenAForceIsNotANumber) {
  const auto nowhere = [](double) {
    return Balance{std::numeric_limits<double>::quiet_NaN(), 0.0, 0.0};
  };
  EXPECT_TRUE(stable_rests(nowhere, {0.0, 1.0}).failed);
}

TEST(FrictionBand, OfASpringIsTheForceOverItsStiffness) {
  const auto spring = [](double q) { return Balance{-2.0 * q, 0.5, q * q}; };
  const FrictionBand band = friction_band(spring, 0.0, {-10.0, 10.0});
  EXPECT_NEAR(band.low, -0.25, 1e-12);
  EXPECT_NEAR(band.high, 0.25, 1e-12);
}

TEST(FrictionBand, EndsAtTheStops) {
  const auto spring = [](double q) { return Balance{-2.0 * q, 0.5, q * q}; };
  const FrictionBand band = friction_band(spring, 0.0, {-0.1, 10.0});
  EXPECT_EQ(band.low, -0.1);
}

// The shape and forces of a span by another route: energy summed over the line's points, force by
// differences of that energy.
TEST(LimpLine, HasTheEnergyOfItsPointsAndForcesAreItsSlope) {
  const auto model = limp_line();
  const SupportSpan span{{900.0, 300.0, 400.0}, 1500.0, 0.4, {}};
  const Vec3 support(100.0, -50.0, 700.0);
  const SpanState s = model->solve(support, span);
  ASSERT_EQ(s.status, SpanStatus::hangs);
  const int n = 4000;
  const std::vector<Vec3> points = model->points(support, span, n);
  ASSERT_EQ(points.size(), n + 1U);
  double height = 0.0;
  for (int i = 0; i < n; ++i) {
    height +=
        0.5 * (points[static_cast<std::size_t>(i)].z + points[static_cast<std::size_t>(i) + 1].z);
  }
  const double weight = 0.4 * k_gravity / 1000.0 * 1500.0;
  EXPECT_NEAR(s.energy_Nmm, weight * height / n, 1e-3);
  const double h = 0.01;
  for (int i = 0; i < 3; ++i) {
    Vec3 e(0.0);
    e[i] = h;
    const double slope =
        (model->solve(support + e, span).energy_Nmm - model->solve(support - e, span).energy_Nmm) /
        (2.0 * h);
    EXPECT_NEAR(s.force_N[i], -slope, 1e-6);
  }
  EXPECT_NEAR(glm::length(s.force_N + s.anchor_force_N + Vec3(0, 0, weight)), 0.0, 1e-9);
}

TEST(StiffLine, TendsToTheLimpOneAsItsStiffnessVanishes) {
  const SupportSpan span{{900.0, 300.0, 400.0}, 1500.0, 0.4, {}};
  const Vec3 support(100.0, -50.0, 700.0);
  const SpanState limp = limp_line()->solve(support, span);
  const SpanState stiff = stiff_line(1e-6, 256)->solve(support, span);
  ASSERT_EQ(stiff.status, SpanStatus::hangs);
  EXPECT_NEAR(glm::length(stiff.force_N - limp.force_N), 0.0, 2e-3 * glm::length(limp.force_N));
  EXPECT_NEAR(stiff.energy_Nmm, limp.energy_Nmm, 1e-3 * std::abs(limp.energy_Nmm));
  EXPECT_NEAR(glm::length(stiff.leaving - limp.leaving), 0.0, 0.02);
}

TEST(StiffLine, ForceIsTheSlopeOfItsEnergy) {
  const auto model = stiff_line(0.05, 64);
  const SupportSpan span{{600.0, 0.0, 400.0}, 1200.0, 0.4, {}};
  const Vec3 support(0.0, 0.0, 900.0);
  const SpanState s = model->solve(support, span);
  ASSERT_EQ(s.status, SpanStatus::hangs);
  const double h =
      1.0;  // the rod's closure, 1e-8 of its length, times its pull makes noise of 4e-5 N mm
  for (int i = 0; i < 3; i += 2) {
    Vec3 e(0.0);
    e[i] = h;
    const double up = model->solve(support + e, span).energy_Nmm;
    const double down = model->solve(support - e, span).energy_Nmm;
    EXPECT_NEAR(s.force_N[i], -(up - down) / (2.0 * h), 5e-5);
  }
}

TEST(LimpLine, SaysByHowMuchItIsTooShort) {
  const SpanState s = limp_line()->solve({0, 0, 0}, {{300.0, 400.0, 0.0}, 450.0, 0.1, {}});
  EXPECT_EQ(s.status, SpanStatus::too_short);
  EXPECT_NEAR(s.short_by_mm, 50.0, 1e-9);
  EXPECT_NEAR(s.leaving.x, 0.6, 1e-12);
}

}  // namespace
}  // namespace bight::free
