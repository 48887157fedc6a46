#include "free/support_boom.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace bight::free {
namespace {

constexpr double k_degree = std::numbers::pi / 180.0;

BoomProblem boom_with_one_line() {
  BoomProblem p;
  p.post = {100.0, 200.0, 2000.0};
  p.radius_mm = 800.0;
  p.lower_deg = -90.0;
  p.upper_deg = 180.0;
  p.spans = {{{100.0 + 600.0, 200.0 + 600.0, 900.0}, 1900.0, 0.3, {}}};
  return p;
}

/// Angle of least energy in the range, by trying all.
double lowest_by_scan(const BoomProblem& p) {
  const auto model = limp_line();
  double best = 0.0;
  double least = 1e300;
  for (double a = p.lower_deg; a <= p.upper_deg; a += 0.05) {
    const Vec3 tip =
        p.post + p.radius_mm * Vec3(std::cos(a * k_degree), std::sin(a * k_degree), 0.0);
    const double energy = energy_of(solve_spans(*model, tip, p.spans));
    if (energy < least) {
      least = energy;
      best = a;
    }
  }
  return best;
}

TEST(Boom, PointsAtTheAnchorOfItsLine) {
  const SupportResult r = rest_of_boom(boom_with_one_line(), *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  EXPECT_NEAR(r.rest.coordinate, 45.0, 1e-9);
  EXPECT_TRUE(r.unique);
}

TEST(Boom, WithoutStopsPointsThereOnly) {
  BoomProblem p = boom_with_one_line();
  p.lower_deg = 45.0;  // the rest is where the turn is closed
  p.upper_deg = 405.0;
  const SupportResult r = rest_of_boom(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  EXPECT_NEAR(std::remainder(r.rest.coordinate - 45.0, 360.0), 0.0, 1e-9);
  EXPECT_TRUE(r.others.empty());
}

TEST(Boom, WithTwoLinesRestsWhereTheEnergyIsLeast) {
  BoomProblem p = boom_with_one_line();
  const auto model = limp_line();
  for (const double supply : {1700.0, 1900.0, 2600.0}) {
    p.spans.resize(1);
    p.spans.push_back({{100.0 + 900.0, 200.0 - 300.0, 1800.0}, supply, 0.5, {}});
    const SupportResult r = rest_of_boom(p, *model);
    ASSERT_EQ(r.status, SupportStatus::rests) << supply;
    EXPECT_NEAR(r.rest.coordinate, lowest_by_scan(p), 0.06) << supply;
  }
}

TEST(Boom, KeptFromItsRestCanBeHeldByEitherStop) {
  BoomProblem p = boom_with_one_line();
  p.lower_deg = 75.0;
  p.upper_deg = 335.0;  // the way round by 225, opposite to the anchor
  p.spans[0].length_mm = 3000.0;
  const SupportResult r = rest_of_boom(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::at_stop);
  EXPECT_EQ(r.rest.coordinate, 75.0);  // 30 degrees off, the other 70
  EXPECT_NEAR(r.outside_by, 30.0, 1e-9);
  ASSERT_EQ(r.others.size(), 1U);
  EXPECT_EQ(r.others[0], 335.0);
  EXPECT_FALSE(r.unique);
}

TEST(Boom, PivotFrictionHoldsItByItsMomentOnEitherSide) {
  BoomProblem p = boom_with_one_line();
  p.friction_Nmm = 200.0;
  const SupportResult r = rest_of_boom(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  EXPECT_NEAR(r.low.coordinate + r.high.coordinate, 90.0, 1e-8);  // symmetric about 45
  EXPECT_LT(r.low.coordinate, 44.0);
  const Vec3 arm = r.low.place - p.post;
  EXPECT_NEAR(arm.x * r.low.load_N.y - arm.y * r.low.load_N.x, 200.0, 1e-6);
}

TEST(Boom, TurnsWithItsProblem) {
  BoomProblem p = boom_with_one_line();
  p.spans.push_back({{100.0 + 900.0, 200.0 - 300.0, 1800.0}, 1900.0, 0.5, {}});
  BoomProblem turned = p;
  for (SupportSpan& s : turned.spans) {
    const Vec3 d = s.anchor - p.post;
    s.anchor = p.post + Vec3(-d.y, d.x, d.z);
  }
  turned.lower_deg += 90.0;
  turned.upper_deg += 90.0;
  const auto model = limp_line();
  EXPECT_NEAR(rest_of_boom(turned, *model).rest.coordinate,
              rest_of_boom(p, *model).rest.coordinate + 90.0, 1e-8);
}

TEST(Boom, SaysByHowMuchItsLineIsTooShort) {
  BoomProblem p = boom_with_one_line();
  const double away = std::hypot(std::hypot(600.0, 600.0) - 800.0, 1100.0);
  p.spans[0].length_mm = away - 25.0;
  const SupportResult r = rest_of_boom(p, *limp_line());
  EXPECT_EQ(r.status, SupportStatus::out_of_reach);
  EXPECT_NEAR(r.short_by_mm, 25.0, 1e-6);
}

TEST(Boom, OfNoRadiusOrTwistedLimitsIsRefused) {
  BoomProblem p = boom_with_one_line();
  p.radius_mm = 0.0;
  EXPECT_EQ(rest_of_boom(p, *limp_line()).status, SupportStatus::invalid);
  p = boom_with_one_line();
  p.upper_deg = p.lower_deg - 1.0;
  EXPECT_EQ(rest_of_boom(p, *limp_line()).status, SupportStatus::invalid);
}

}  // namespace
}  // namespace bight::free
