#include "free/support_cord.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

#include "base/tolerance.h"

namespace bight::free {
namespace {

CordProblem corded() {
  CordProblem p;
  p.hook = {0.0, 0.0, 2400.0};
  p.free_length_mm = 400.0;
  p.stiffness_N_mm = 0.05;
  p.spans = {{{900.0, 300.0, 1000.0}, 1600.0, 0.4, {}}};
  return p;
}

double energy_at(const CordProblem& p, LineModel& model, const Vec3& hold) {
  const double stretch = std::max(0.0, glm::distance(hold, p.hook) - p.free_length_mm);
  return energy_of(solve_spans(model, hold, p.spans)) + 0.5 * p.stiffness_N_mm * stretch * stretch;
}

/// Least energy by compass search: no forces, no derivatives.
Vec3 lowest_by_search(const CordProblem& p, Vec3 place) {
  const auto model = limp_line();
  double least = energy_at(p, *model, place);
  for (double step = 100.0; step > 1e-4;) {
    bool better = false;
    for (int i = 0; i < 6; ++i) {
      Vec3 e(0.0);
      e[i / 2] = i % 2 == 0 ? step : -step;
      const double energy = energy_at(p, *model, place + e);
      if (energy < least) {
        least = energy;
        place += e;
        better = true;
      }
    }
    if (!better) step *= 0.5;
  }
  return place;
}

TEST(Cord, RestsWhereTheEnergyIsLeast) {
  std::mt19937 random(9);
  const auto any = [&](double a, double b) {
    return std::uniform_real_distribution<double>(a, b)(random);
  };
  const auto model = limp_line();
  for (int i = 0; i < 20; ++i) {
    CordProblem p = corded();
    p.stiffness_N_mm = any(0.01, 0.2);
    p.free_length_mm = any(0.0, 500.0);
    if (i % 2 == 1) p.spans.push_back({{-700.0, any(-500.0, 500.0), 1500.0}, 1900.0, 0.3, {}});
    const CordResult r = rest_of_cord(p, *model);
    ASSERT_EQ(r.status, SupportStatus::rests);
    EXPECT_TRUE(r.unique);
    const Vec3 start = p.spans.front().anchor + Vec3(0.0, 0.0, 100.0);
    EXPECT_LT(glm::distance(r.hold, lowest_by_search(p, start)), 0.5);
    EXPECT_LE(energy_at(p, *model, r.hold),
              energy_at(p, *model, lowest_by_search(p, start)) + 1e-6);
  }
}

TEST(Cord, LiesAlongThePullOfTheLineAndStretchesByItOverItsStiffness) {
  const CordProblem p = corded();
  const CordResult r = rest_of_cord(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  const Vec3 pull = r.spans[0].force_N;
  EXPECT_NEAR(r.stretch_mm, glm::length(pull) / 0.05, 1e-4);
  EXPECT_NEAR(glm::length(glm::cross(glm::normalize(r.hold - p.hook), glm::normalize(pull))), 0.0,
              1e-7);
  EXPECT_NEAR(glm::length(r.load_N - pull), 0.0, 1e-6);
}

TEST(Cord, WithoutLengthAndVeryStiffIsAFixedHook) {
  CordProblem p = corded();
  p.spans[0].length_mm = 2200.0;
  p.free_length_mm = 0.0;
  p.stiffness_N_mm = 1e6;
  const auto model = limp_line();
  const CordResult r = rest_of_cord(p, *model);
  ASSERT_EQ(r.status, SupportStatus::rests);
  EXPECT_LT(glm::distance(r.hold, p.hook), 1e-3);
  const SpanState hook = model->solve(p.hook, p.spans[0]);
  EXPECT_NEAR(glm::length(r.load_N - hook.force_N), 0.0, 1e-5);
}

TEST(Cord, IsSlackWhenTheLineHangsWithinItsFreeLength) {
  CordProblem p = corded();
  p.spans[0] = {{200.0, 0.0, 2600.0}, 300.0, 0.4, {}};
  const CordResult r = rest_of_cord(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  EXPECT_EQ(r.stretch_mm, 0.0);
  EXPECT_EQ(r.hold, Vec3(200.0, 0.0, 2300.0));
  EXPECT_EQ(r.load_N, Vec3(0.0));
}

TEST(Cord, SaysHowFarItIsStretchedBeyondItsRange) {
  CordProblem p = corded();
  const auto model = limp_line();
  const double stretch = rest_of_cord(p, *model).stretch_mm;
  p.greatest_stretch_mm = stretch - 12.0;
  EXPECT_NEAR(rest_of_cord(p, *model).outside_by_mm, 12.0, 1e-6);
}

/// A line of 700 mm from the wall and one of 1200 mm to a tool that the cord lifts.
CordProblem almost_taut(const Vec3& tool) {
  return {{500.0, 600.0, 1580.0},
          200.0,
          0.04,
          400.0,
          {{{500.0, 1580.0, 1500.0}, 700.0, 0.15, {}}, {tool, 1200.0, 0.15, {}}}};
}

// The expected places come from a separate solution of the balance of two catenaries and a spring.
TEST(Cord, FindsItsRestWhereALineIsAlmostTaut) {
  const CordResult r = rest_of_cord(almost_taut({275.0, 18.0, 700.0}), *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  EXPECT_LT(glm::distance(r.hold, Vec3(487.9, 883.6, 1442.7)), 0.1);
  EXPECT_NEAR(r.stretch_mm, 115.3, 0.1);
  EXPECT_NEAR(rest_of_cord(almost_taut({50.0, 18.0, 700.0}), *limp_line()).stretch_mm, 137.3, 0.1);
}

TEST(Cord, FindsItsRestAtEveryPlaceOfTheToolThatTheLinesReach) {
  const auto model = limp_line();
  for (double x = 50.0; x <= 950.0; x += 56.25) {
    for (double y = 18.0; y <= 618.0; y += 37.5) {
      for (double z = 700.0; z <= 800.0; z += 12.5) {
        const CordProblem p = almost_taut({x, y, z});
        const CordResult r = rest_of_cord(p, *model);
        ASSERT_EQ(r.status, SupportStatus::rests) << x << " " << y << " " << z;
        EXPECT_LT(r.residual_N, 1e-4) << x << " " << y << " " << z;
      }
    }
  }
}

TEST(Cord, BetweenLinesThatCannotMeetHasNoRestAndSaysWhatTheyLack) {
  CordProblem p = corded();
  p.spans = {{{0.0, 0.0, 0.0}, 400.0, 0.4, {}}, {{1000.0, 0.0, 0.0}, 500.0, 0.4, {}}};
  const CordResult r = rest_of_cord(p, *limp_line());
  EXPECT_EQ(r.status, SupportStatus::out_of_reach);
  EXPECT_NEAR(r.short_by_mm, 100.0, 1e-9);
}

TEST(Cord, BetweenLinesThatHardlyReachEachOtherRestsOnTheirStraightWay) {
  CordProblem p = corded();
  p.spans = {{{0.0, 0.0, 0.0}, 400.0, 0.4, {}}, {{1000.0, 0.0, 0.0}, 600.2, 0.4, {}}};
  const CordResult r = rest_of_cord(p, *limp_line());
  ASSERT_EQ(r.status, SupportStatus::rests);
  EXPECT_NEAR(r.hold.x, 400.0, 0.2);
}

TEST(Cord, WithALineOfVanishingStiffnessRestsAsWithALimpOne) {
  const CordProblem p = corded();
  const auto model = stiff_line(1e-4, 96);
  const CordResult stiff = rest_of_cord(p, *model);
  ASSERT_EQ(stiff.status, SupportStatus::rests);
  EXPECT_FALSE(stiff.unique);
  EXPECT_LT(glm::distance(stiff.hold, rest_of_cord(p, *limp_line()).hold), 2.0);
}

}  // namespace
}  // namespace bight::free
