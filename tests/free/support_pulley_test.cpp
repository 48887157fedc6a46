#include "free/support_pulley.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>
#include <random>

#include "base/tolerance.h"
#include "rod/catenary_length.h"

namespace bight::free {
namespace {

WeightedPulleyProblem weighted() {
  WeightedPulleyProblem p;
  p.pulley = {0.0, 0.0, 2500.0};
  p.run = {{1000.0, 400.0, 1200.0}, 0.0, 0.25, {}};
  p.line_mm = 3500.0;
  p.weight_kg = 1.2;
  p.least_tail_mm = 50.0;
  p.most_tail_mm = 2000.0;
  return p;
}

/// Local minimum of the whole energy nearest to the chord, by trying lengths; no forces.
double lowest_by_scan(const WeightedPulleyProblem& p) {
  const auto model = limp_line();
  const double w = p.run.mass_kg_m * k_gravity / 1000.0;
  const auto energy = [&](double length) {
    SupportSpan run = p.run;
    run.length_mm = length;
    const double tail = p.line_mm - length;
    return energy_of({model->solve(p.pulley, run)}) +
           p.weight_kg * k_gravity * (p.pulley.z - tail) + w * tail * (p.pulley.z - 0.5 * tail);
  };
  double length = glm::distance(p.pulley, p.run.anchor) + 0.01;
  while (energy(length + 0.02) < energy(length)) length += 0.02;
  return length;
}

TEST(WeightedPulley, RestsWhereTheEnergyIsLeast) {
  const auto model = limp_line();
  for (const double weight : {0.8, 1.2, 3.0, 10.0}) {
    WeightedPulleyProblem p = weighted();
    p.weight_kg = weight;
    const SupportResult r = rest_of_pulley(p, *model);
    ASSERT_EQ(r.status, SupportStatus::rests) << weight;
    EXPECT_NEAR(r.rest.coordinate, lowest_by_scan(p), 0.03) << weight;
    EXPECT_TRUE(r.unique);
  }
}

TEST(WeightedPulley, BalancesThePullOfTheRunWithTheWeightAndTheTail) {
  const WeightedPulleyProblem p = weighted();
  const SupportResult r = rest_of_pulley(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  const double tail = p.line_mm - r.rest.coordinate;
  const double other = (p.weight_kg + p.run.mass_kg_m * tail / 1000.0) * k_gravity;
  EXPECT_NEAR(r.rest.spans[0].pull_N, other, 1e-9 * other);
  EXPECT_NEAR(r.rest.load_N.z, r.rest.spans[0].force_N.z - other, 1e-9);
}

TEST(WeightedPulley, SlipsAtTheFactorOfTheCapstan) {
  WeightedPulleyProblem p = weighted();
  p.friction = 0.2;
  const SupportResult r = rest_of_pulley(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  EXPECT_LT(r.low.coordinate, r.rest.coordinate);
  EXPECT_GT(r.high.coordinate, r.rest.coordinate);
  const auto ratio = [&](const SupportAt& at) {  // of the run's pull to the other side's
    const double tail = p.line_mm - at.coordinate;
    return at.spans[0].pull_N / ((p.weight_kg + p.run.mass_kg_m * tail / 1000.0) * k_gravity);
  };
  const auto wrap = [](const SupportAt& at) {  // down on one side: 90 degrees and the slope
    return 0.5 * std::numbers::pi - std::asin(at.spans[0].leaving.z);
  };
  EXPECT_NEAR(ratio(r.low), std::exp(0.2 * wrap(r.low)), 1e-9);
  EXPECT_NEAR(ratio(r.high), std::exp(-0.2 * wrap(r.high)), 1e-9);
}

TEST(WeightedPulley, SaysHowFarTheWeightWouldGoBeyondItsRange) {
  WeightedPulleyProblem p = weighted();
  const auto model = limp_line();
  const double length = rest_of_pulley(p, *model).rest.coordinate;
  p.most_tail_mm = p.line_mm - length - 30.0;  // the floor is 30 mm too high
  const SupportResult floor = rest_of_pulley(p, *model);
  EXPECT_EQ(floor.status, SupportStatus::at_stop);
  EXPECT_NEAR(floor.outside_by, 30.0, 1e-7);
  p = weighted();
  const double chord = glm::distance(p.pulley, p.run.anchor);
  p.least_tail_mm = p.line_mm - 0.5 * (chord + length);
  const SupportResult top = rest_of_pulley(p, *model);
  EXPECT_EQ(top.status, SupportStatus::at_stop);
  EXPECT_NEAR(top.outside_by, 0.5 * (length - chord), 1e-7);
}

TEST(WeightedPulley, RunsOutWhenTheWeightIsTooLight) {
  WeightedPulleyProblem p = weighted();
  p.weight_kg = 0.0;
  p.line_mm = 2600.0;  // what hangs beyond pulls less than the run at its best
  p.most_tail_mm = 700.0;
  const SupportResult r = rest_of_pulley(p, *limp_line());
  EXPECT_EQ(r.status, SupportStatus::runs_out);
  EXPECT_EQ(r.rest.coordinate, 2550.0);
}

// The claim of rest_of_run: the force falls, then rises.
TEST(WeightedPulley, RestsOnAForceWithOneTurnForRandomRuns) {
  std::mt19937 random(5);
  const auto any = [&](double a, double b) {
    return std::uniform_real_distribution<double>(a, b)(random);
  };
  const auto model = limp_line();
  for (int i = 0; i < 200; ++i) {
    SupportSpan run{{any(1.0, 1500.0), 0.0, any(-1500.0, 1500.0)}, 0.0, 0.1, {}};
    const double w = run.mass_kg_m * k_gravity / 1000.0;
    for (const double tail : {0.0, 1.0}) {
      int turns = 0;
      double before = std::numeric_limits<double>::infinity();
      bool rising = false;
      const double chord = glm::length(run.anchor);
      for (int k = 1; k <= 400; ++k) {
        run.length_mm = chord * (1.0 + 1e-4 * std::pow(3e4, k / 400.0));
        const double force = model->solve({0, 0, 0}, run).pull_N + tail * w * run.length_mm;
        const bool up = force > before * (1.0 + 1e-13);
        turns += up != rising ? 1 : 0;
        rising = up;
        before = force;
      }
      EXPECT_LE(turns, 1);
    }
  }
}

TEST(TiedPulley, BetweenEqualSidesStandsInTheMiddleWhenTight) {
  const TiedPulleyProblem p{
      {0, 0, 2000}, {{800, 0, 1500}, 0.0, 0.3, {}}, {-800, 0, 1500}, 2000.0, 0.0};
  const SupportResult r = rest_of_pulley(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  EXPECT_NEAR(r.rest.coordinate, 1000.0, 1e-9);
  EXPECT_NEAR(r.rest.load_N.x, 0.0, 1e-9);
}

// A slack rope over a smooth peg runs to one side: two stable rests, mirrored.
TEST(TiedPulley, SlackEqualSidesRunToEitherSide) {
  const TiedPulleyProblem p{
      {0, 0, 2000}, {{800, 0, 1800}, 0.0, 0.3, {}}, {-800, 0, 1800}, 5000.0, 0.0};
  const SupportResult r = rest_of_pulley(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  EXPECT_FALSE(r.unique);
  ASSERT_EQ(r.others.size(), 1U);
  EXPECT_NEAR(r.rest.coordinate + r.others[0], 5000.0, 1e-6);
  EXPECT_GT(std::abs(r.rest.coordinate - 2500.0), 500.0);
}

TEST(TiedPulley, HasTheSamePullOnBothSidesAndTheCapstansRatioAtSlip) {
  TiedPulleyProblem p{
      {0, 0, 2000}, {{800, 100, 1200}, 0.0, 0.3, {}}, {-500, 0, 1900}, 1800.0, 0.15};
  const SupportResult r = rest_of_pulley(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  EXPECT_NEAR(r.rest.spans[0].pull_N, r.rest.spans[1].pull_N, 1e-8);
  for (const SupportAt& at : {r.low, r.high}) {
    const double wrap =
        std::numbers::pi - std::acos(glm::dot(at.spans[0].leaving, at.spans[1].leaving));
    const double ratio = at.spans[0].pull_N / at.spans[1].pull_N;
    EXPECT_NEAR(std::abs(std::log(ratio)), 0.15 * wrap, 1e-8);
  }
}

TEST(TiedPulley, SaysByHowMuchTheLineIsTooShort) {
  const TiedPulleyProblem p{
      {0, 0, 2000}, {{300, 0, 1600}, 0.0, 0.3, {}}, {-300, 0, 1600}, 990.0, 0.0};
  const SupportResult r = rest_of_pulley(p, *limp_line());
  EXPECT_EQ(r.status, SupportStatus::out_of_reach);
  EXPECT_NEAR(r.short_by_mm, 10.0, 1e-9);
}

RetractorProblem retractor() {
  RetractorProblem p;
  p.place = {0.0, 0.0, 2400.0};
  p.run = {{900.0, 0.0, 1300.0}, 0.0, 0.2, {}};
  p.pull_N = 8.0;
  p.least_mm = 300.0;
  p.most_mm = 3000.0;
  return p;
}

// The drum is the higher end, so its pull is the greatest of the run: the length is that of the
// pull window's shorter end.
TEST(Retractor, PaysOutTheLengthThatThePullAllows) {
  const RetractorProblem p = retractor();
  const SupportResult r = rest_of_retractor(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  const rod::PullWindow window = rod::lengths_for_pull(900.0, -1100.0, 0.2, 8.0);
  ASSERT_TRUE(window.possible);
  EXPECT_NEAR(r.rest.coordinate, window.shortest_mm, 1e-6);
}

TEST(Retractor, WithAGreatPullIsStraight) {
  RetractorProblem p = retractor();
  p.pull_N = 8000.0;
  const SupportResult r = rest_of_retractor(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  EXPECT_NEAR(r.rest.coordinate, std::hypot(900.0, 1100.0), 1e-3);
}

TEST(Retractor, RunsOutWhenItCannotCarryTheLine) {
  RetractorProblem p = retractor();
  p.pull_N = 0.9 * rod::lengths_for_pull(900.0, -1100.0, 0.2, 8.0).least_pull_N;
  const SupportResult r = rest_of_retractor(p, *limp_line());
  EXPECT_EQ(r.status, SupportStatus::runs_out);
  EXPECT_EQ(r.rest.coordinate, p.most_mm);
}

TEST(Retractor, SaysHowFarItIsOutsideItsRange) {
  const auto model = limp_line();
  RetractorProblem p = retractor();
  const double length = rest_of_retractor(p, *model).rest.coordinate;
  p.least_mm = length + 50.0;
  SupportResult r = rest_of_retractor(p, *model);
  EXPECT_EQ(r.status, SupportStatus::at_stop);
  EXPECT_NEAR(r.outside_by, 50.0, 1e-7);
  p = retractor();
  p.most_mm = std::hypot(900.0, 1100.0) + 0.5 * (length - std::hypot(900.0, 1100.0));
  r = rest_of_retractor(p, *model);
  EXPECT_EQ(r.status, SupportStatus::at_stop);
  EXPECT_NEAR(r.outside_by, length - p.most_mm, 1e-7);
  p.most_mm = std::hypot(900.0, 1100.0) - 20.0;
  r = rest_of_retractor(p, *model);
  EXPECT_EQ(r.status, SupportStatus::out_of_reach);
  EXPECT_NEAR(r.short_by_mm, 20.0, 1e-9);
}

TEST(Retractor, FrictionWidensThePullEitherWay) {
  RetractorProblem p = retractor();
  p.friction_N = 1.0;
  const SupportResult r = rest_of_retractor(p, *limp_line());
  EXPECT_NEAR(r.low.spans[0].pull_N, 9.0, 1e-7);
  EXPECT_NEAR(r.high.spans[0].pull_N, 7.0, 1e-7);
}

TEST(Retractor, WorksWithAStiffLine) {
  const auto model = stiff_line(1e-4, 128);
  const SupportResult stiff = rest_of_retractor(retractor(), *model);
  ASSERT_EQ(stiff.status, SupportStatus::rests);
  EXPECT_NEAR(stiff.rest.coordinate, rest_of_retractor(retractor(), *limp_line()).rest.coordinate,
              2.0);
}

}  // namespace
}  // namespace bight::free
