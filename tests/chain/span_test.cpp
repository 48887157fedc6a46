#include "chain/span.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <limits>
#include <numbers>

namespace bight::chain {
namespace {

constexpr std::array<Vec2, 3> k_pairs{Vec2{0.5, 1500.0}, Vec2{1.5, 1200.0}, Vec2{3.0, 800.0}};

TEST(Span, LoadsOfTheMakersPairsGiveTheirSpans) {
  for (const Vec2& pair : k_pairs) {
    const SpanLimit limit = allowed_span(k_pairs, pair.x);
    EXPECT_EQ(limit.status, SpanStatus::interpolated);
    EXPECT_DOUBLE_EQ(limit.span_mm.value(), pair.y);
  }
}

TEST(Span, BetweenPairsItIsLinear) {
  EXPECT_DOUBLE_EQ(allowed_span(k_pairs, 1.0).span_mm.value(), 1350.0);
  EXPECT_DOUBLE_EQ(allowed_span(k_pairs, 2.25).span_mm.value(), 1000.0);
  EXPECT_EQ(allowed_span(k_pairs, 1.0).because,
            "1.000 kg/m of fill: between the maker's 1500 mm at 0.5 kg/m and 1200 mm at 1.5 kg/m");
}

TEST(Span, ALighterFillIsNotCreditedWithMore) {
  const SpanLimit limit = allowed_span(k_pairs, 0.1);
  EXPECT_EQ(limit.status, SpanStatus::lightest);
  EXPECT_DOUBLE_EQ(limit.span_mm.value(), 1500.0);
}

TEST(Span, AHeavierFillHasNoKnownSpan) {
  const SpanLimit limit = allowed_span(k_pairs, 3.01);
  EXPECT_EQ(limit.status, SpanStatus::too_heavy);
  EXPECT_FALSE(limit.span_mm.has_value());
  EXPECT_NE(limit.because.find("800 mm at 3 kg/m"), std::string::npos);
}

TEST(Span, WithoutPairsNothingIsClaimed) {
  const SpanLimit limit = allowed_span({}, 1.0);
  EXPECT_EQ(limit.status, SpanStatus::no_data);
  EXPECT_FALSE(limit.span_mm.has_value());
}

TEST(Span, PairsOutOfOrderAndMissingNumbersAreRefused) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const std::array<Vec2, 2> falling{Vec2{2.0, 900.0}, Vec2{1.0, 1200.0}};
  const std::array<Vec2, 2> longer_when_heavier{Vec2{1.0, 900.0}, Vec2{2.0, 1200.0}};
  const std::array<Vec2, 2> broken{Vec2{1.0, nan}, Vec2{2.0, 800.0}};
  for (const auto& pairs : {falling, longer_when_heavier, broken}) {
    EXPECT_EQ(allowed_span(pairs, 1.5).status, SpanStatus::invalid);
  }
  EXPECT_EQ(allowed_span(k_pairs, nan).status, SpanStatus::invalid);
}

TEST(RunForces, AreThoseOfABeamOnTwoSupportsAndAnOverhangingHalfCircle) {
  const double w = 2.0 * 9.80665 / 1000.0;  // 2 kg/m in N/mm
  const RunForces forces = run_forces(2.0, 800.0, 75.0);
  EXPECT_DOUBLE_EQ(forces.weight_N_per_mm, w);
  EXPECT_DOUBLE_EQ(forces.pull_N, w * 75.0);
  EXPECT_DOUBLE_EQ(forces.end_load_N, w * 400.0);
  EXPECT_DOUBLE_EQ(forces.sagging_moment_Nmm, w * 800.0 * 800.0 / 8.0);
  EXPECT_DOUBLE_EQ(forces.floor_force_N, w * 400.0 + std::numbers::pi * 75.0 * w);
}

TEST(RunForces, TheBendIsInEquilibrium) {
  // Cut the bend into slices from lift-off (angle 0) to the run (pi) and sum weights about the
  // lift-off point: the pull acts at height 2 R, the run's end load pi-wards at the same x.
  const double radius = 60.0;
  const RunForces forces = run_forces(1.7, 500.0, radius);
  const int slices = 100000;
  double moment = 0.0;
  double weight = 0.0;
  for (int k = 0; k < slices; ++k) {
    const double f = (k + 0.5) * std::numbers::pi / slices;
    const double dw = forces.weight_N_per_mm * radius * std::numbers::pi / slices;
    weight += dw;
    moment += dw * radius * std::sin(f);
  }
  EXPECT_NEAR(moment, forces.pull_N * 2.0 * radius, 1e-6 * moment);
  EXPECT_NEAR(forces.floor_force_N, weight + forces.end_load_N, 1e-9);
}

TEST(RunForces, TheClosingMomentIsTheGreatestAlongTheBend) {
  for (const double run : {0.0, 90.0, 800.0, 5000.0}) {
    const double radius = 37.979;
    const RunForces forces = run_forces(1.0, run, radius);
    double greatest = 0.0;
    for (int k = 0; k <= 20000; ++k) {
      const double f = k * std::numbers::pi / 20000;
      const double w = forces.weight_N_per_mm;
      greatest = std::max(greatest, w * run / 2 * radius * std::sin(f) +
                                        w * radius * radius * (std::numbers::pi - f) * std::sin(f));
    }
    EXPECT_NEAR(forces.closing_moment_Nmm, greatest, 1e-7 * greatest);
  }
}

/// Least floor force, pull and moments of rigid links laid along the ideal loop: every link's
/// weight acts at its middle; the run is cut free at both ends, the bend at its lift-off joint.
struct LinkStatics {
  double pull = 0.0;
  double sagging = 0.0;
  double floor = 0.0;
};

LinkStatics statics_of_links(double weight_per_mm, double run, double radius, int links_in_run,
                             int links_in_bend) {
  LinkStatics statics;
  const double link = run / links_in_run;
  const double end = 0.5 * weight_per_mm * run;
  for (int k = 1; k < links_in_run; ++k) {  // joint k of the run, moments of what lies before it
    double moment = end * k * link;
    for (int m = 0; m < k; ++m) moment -= weight_per_mm * link * (k - m - 0.5) * link;
    statics.sagging = std::max(statics.sagging, moment);
  }
  const double angle = std::numbers::pi / links_in_bend;
  double moment = 0.0;
  statics.floor = end;
  for (int k = 0; k < links_in_bend; ++k) {
    const double w = weight_per_mm * radius * angle;
    moment += w * radius * std::cos(0.5 * angle) * std::sin((k + 0.5) * angle);
    statics.floor += w;
  }
  statics.pull = moment / (2.0 * radius);
  return statics;
}

TEST(RunForces, StraightLinksTendToThemAsTheyGetShorter) {
  const RunForces forces = run_forces(1.0, 90.0, 37.979);
  double before = 1.0;
  for (const int links : {10, 20, 40, 80}) {
    const LinkStatics s = statics_of_links(forces.weight_N_per_mm, 90.0, 37.979, links, links);
    const double error = std::abs(s.pull / forces.pull_N - 1.0);
    EXPECT_LT(error, before);
    before = error;
    EXPECT_NEAR(s.sagging, forces.sagging_moment_Nmm, 1e-9);  // even counts have a joint mid-run
    EXPECT_NEAR(s.floor, forces.floor_force_N, 1e-9);
  }
  EXPECT_LT(before, 5e-4);
}

}  // namespace
}  // namespace bight::chain
