#include "free/support_trolley.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

#include "base/tolerance.h"

namespace bight::free {
namespace {

constexpr double k_infinity = std::numeric_limits<double>::infinity();

/// Track along X at 2 m, a supply at its left end and a machine below it.
TrolleyProblem supplied_trolley() {
  TrolleyProblem p;
  p.origin = {0.0, 0.0, 2000.0};
  p.direction = {1.0, 0.0, 0.0};
  p.lower_mm = -500.0;
  p.upper_mm = 1500.0;
  p.mass_kg = 0.5;
  p.spans = {{{-600.0, 100.0, 1900.0}, 1600.0, 0.3, {}},
             {{1200.0, -300.0, 900.0}, 1700.0, 0.3, {}}};
  return p;
}

/// Lowest of many energies along the track: no forces, no roots.
double lowest_by_scan(const TrolleyProblem& p) {
  const auto model = limp_line();
  const Vec3 along = glm::normalize(p.direction);
  double best = 0.0;
  double least = k_infinity;
  for (double q = p.lower_mm; q <= p.upper_mm; q += 0.25) {
    const Vec3 place = p.origin + q * along;
    const double energy =
        energy_of(solve_spans(*model, place, p.spans)) + p.mass_kg * k_gravity * place.z;
    if (energy < least) {
      least = energy;
      best = q;
    }
  }
  return best;
}

TEST(Trolley, RestsWhereTheEnergyIsLeast) {
  std::mt19937 random(3);
  const auto any = [&](double a, double b) {
    return std::uniform_real_distribution<double>(a, b)(random);
  };
  const auto model = limp_line();
  int inside = 0;
  int stopped = 0;
  for (int i = 0; i < 40; ++i) {
    TrolleyProblem p = supplied_trolley();
    p.direction = {1.0, any(-0.5, 0.5), any(-0.2, 0.2)};
    p.spans[0].length_mm = any(1200.0, 2500.0);
    p.spans[1].anchor = {any(0.0, 2200.0), any(-500.0, 500.0), any(600.0, 1800.0)};
    const SupportResult r = rest_of_trolley(p, *model);
    if (!r.has_shape()) continue;
    EXPECT_NEAR(r.rest.coordinate, lowest_by_scan(p), 0.3);
    EXPECT_TRUE(r.unique);
    EXPECT_TRUE(r.others.empty());
    (r.status == SupportStatus::rests ? inside : stopped) += 1;
  }
  EXPECT_GE(inside, 10);
  EXPECT_GE(stopped, 2);
}

TEST(Trolley, BetweenEqualLinesRestsInTheMiddle) {
  TrolleyProblem p = supplied_trolley();
  p.spans = {{{-400.0, 0.0, 1500.0}, 1200.0, 0.3, {}}, {{1000.0, 0.0, 1500.0}, 1200.0, 0.3, {}}};
  const SupportResult r = rest_of_trolley(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  EXPECT_NEAR(r.rest.coordinate, 300.0, 1e-9);
  const double weight = (2.4 * 0.3 / 2.0 + 0.5) * k_gravity;  // at least half of both lines
  EXPECT_LT(r.rest.load_N.z, -weight);
  EXPECT_NEAR(r.rest.load_N.x, 0.0, 1e-9);
}

TEST(Trolley, WithOneLineStandsStraightAboveOrNextToItsAnchor) {
  TrolleyProblem p = supplied_trolley();
  p.spans.erase(p.spans.begin());
  const SupportResult r = rest_of_trolley(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  EXPECT_NEAR(r.rest.coordinate, 1200.0, 1e-6);
}

TEST(Trolley, MirroredProblemsHaveMirroredRests) {
  const auto model = limp_line();
  TrolleyProblem p = supplied_trolley();
  p.rolling_friction = 0.03;
  TrolleyProblem m = p;
  for (SupportSpan& s : m.spans) s.anchor.x = -s.anchor.x;
  m.lower_mm = -p.upper_mm;
  m.upper_mm = -p.lower_mm;
  const SupportResult a = rest_of_trolley(p, *model);
  const SupportResult b = rest_of_trolley(m, *model);
  ASSERT_TRUE(a.has_shape());
  EXPECT_NEAR(a.rest.coordinate, -b.rest.coordinate, 1e-8);
  EXPECT_NEAR(a.low.coordinate, -b.high.coordinate, 1e-8);
  EXPECT_NEAR(a.high.coordinate, -b.low.coordinate, 1e-8);
}

TEST(Trolley, AtTheExtremesOfSlipTheForceIsFrictionTimesTheNormalLoad) {
  TrolleyProblem p = supplied_trolley();
  p.rolling_friction = 0.05;
  const SupportResult r = rest_of_trolley(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  EXPECT_LT(r.low.coordinate, r.rest.coordinate - 1.0);
  EXPECT_GT(r.high.coordinate, r.rest.coordinate + 1.0);
  for (const SupportAt& at : {r.low, r.high}) {
    const double normal = std::hypot(at.load_N.y, at.load_N.z);
    EXPECT_NEAR(std::abs(at.load_N.x), 0.05 * normal, 1e-9);
  }
  EXPECT_GT(r.low.load_N.x, 0.0);
}

TEST(Trolley, WithoutFrictionHasNoBand) {
  const SupportResult r = rest_of_trolley(supplied_trolley(), *limp_line());
  EXPECT_EQ(r.low.coordinate, r.rest.coordinate);
  EXPECT_EQ(r.high.coordinate, r.rest.coordinate);
}

TEST(Trolley, WithLockedWheelsStaysWhereverTheLinesReach) {
  TrolleyProblem p = supplied_trolley();
  p.rolling_friction = k_infinity;
  const SupportResult r = rest_of_trolley(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  // The supply's line reaches up to x = -600 + sqrt(1600^2 - 100^2 - 100^2), the machine's down to
  // 1200 - sqrt(1700^2 - 300^2 - 1100^2).
  EXPECT_NEAR(r.high.coordinate, -600.0 + std::sqrt(1600.0 * 1600.0 - 20000.0), 1e-3);
  EXPECT_NEAR(r.low.coordinate, 1200.0 - std::sqrt(1700.0 * 1700.0 - 90000.0 - 1210000.0), 1e-3);
}

TEST(Trolley, ATrackOfNoLengthIsAFixedHook) {
  TrolleyProblem p = supplied_trolley();
  p.lower_mm = p.upper_mm = 250.0;
  const auto model = limp_line();
  const SupportResult r = rest_of_trolley(p, *model);
  ASSERT_TRUE(r.has_shape());
  EXPECT_EQ(r.rest.coordinate, 250.0);
  const SpanState hook = model->solve({250.0, 0.0, 2000.0}, p.spans[1]);
  EXPECT_EQ(r.rest.spans[1].force_N, hook.force_N);
}

TEST(Trolley, SaysHowFarBeyondItsStopItWouldGo) {
  TrolleyProblem p = supplied_trolley();
  const auto model = limp_line();
  const double free = rest_of_trolley(p, *model).rest.coordinate;
  p.upper_mm = free - 120.0;
  const SupportResult r = rest_of_trolley(p, *model);
  EXPECT_EQ(r.status, SupportStatus::at_stop);
  EXPECT_EQ(r.rest.coordinate, p.upper_mm);
  EXPECT_NEAR(r.outside_by, 120.0, 1e-8);
}

TEST(Trolley, SaysByHowMuchItsLinesAreTooShort) {
  TrolleyProblem p = supplied_trolley();
  p.spans.resize(1);
  p.spans[0] = {{700.0, 0.0, 500.0}, 1400.0, 0.3, {}};  // 1500 below the track
  const SupportResult r = rest_of_trolley(p, *limp_line());
  EXPECT_EQ(r.status, SupportStatus::out_of_reach);
  EXPECT_NEAR(r.short_by_mm, 100.0, 1e-6);
}

TEST(Trolley, WithALineOfVanishingStiffnessRestsAsWithALimpOne) {
  const TrolleyProblem p = supplied_trolley();
  const SupportResult limp = rest_of_trolley(p, *limp_line());
  const auto model = stiff_line(1e-5, 128);
  const SupportResult stiff = rest_of_trolley(p, *model);
  ASSERT_EQ(stiff.status, SupportStatus::rests);
  EXPECT_FALSE(stiff.unique);
  EXPECT_NEAR(stiff.rest.coordinate, limp.rest.coordinate, 1.0);
}

TEST(Trolley, RefusesWhatIsNotFinite) {
  TrolleyProblem p = supplied_trolley();
  p.upper_mm = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(rest_of_trolley(p, *limp_line()).status, SupportStatus::invalid);
  p = supplied_trolley();
  p.direction = Vec3(0.0);
  EXPECT_EQ(rest_of_trolley(p, *limp_line()).status, SupportStatus::invalid);
  p = supplied_trolley();
  p.spans.clear();
  EXPECT_EQ(rest_of_trolley(p, *limp_line()).status, SupportStatus::invalid);
}

}  // namespace
}  // namespace bight::free
