#include "free/support_festoon.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "base/tolerance.h"
#include "rod/catenary.h"

namespace bight::free {
namespace {

FestoonProblem five_loops() {
  FestoonProblem p;
  p.loops = 5;
  p.loop_mm = 900.0;
  p.mass_kg_m = 0.6;
  p.pitch_stacked_mm = 80.0;
  p.saddle_mm = 50.0;
  p.trolley_kg = 0.3;
  p.nearest_mm = 450.0;
  p.farthest_mm = 4200.0;
  return p;
}

TEST(Festoon, LoopsAreLevelCatenariesOfEqualSpan) {
  const FestoonAt f = festoon_at(five_loops(), 2000.0);
  EXPECT_NEAR(f.pitch_mm, 400.0, 1e-12);
  // dx = 350: sinh(u)/u = L/dx, depth a (cosh u - 1), pull w a; u by bisection.
  double lower = 1e-6;
  double upper = 10.0;
  for (int i = 0; i < 100; ++i) {
    const double u = 0.5 * (lower + upper);
    (std::sinh(u) / u < 900.0 / 350.0 ? lower : upper) = u;
  }
  const double a = 350.0 / (2.0 * lower);
  EXPECT_NEAR(f.depth_mm, a * (std::cosh(lower) - 1.0), 1e-8);
  EXPECT_NEAR(f.pull_N, 0.6 * k_gravity / 1000.0 * a, 1e-10);
}

TEST(Festoon, StackHangsDeepestAtTheNearestPlace) {
  const FestoonResult r = check_festoon(five_loops());
  ASSERT_EQ(r.status, FestoonStatus::fits);
  EXPECT_EQ(r.stacked_mm, 400.0);
  EXPECT_GT(r.nearest.depth_mm, r.farthest.depth_mm);
  EXPECT_LT(r.nearest.depth_mm, 450.0);  // half a loop, both strands straight down
  EXPECT_NEAR(r.shortest_loop_mm, 4200.0 / 5.0 - 50.0, 1e-9);
}

TEST(Festoon, SaysHowMuchRoomOrLineIsMissing) {
  FestoonProblem p = five_loops();
  p.nearest_mm = 390.0;
  FestoonResult r = check_festoon(p);
  EXPECT_EQ(r.status, FestoonStatus::no_room_to_stack);
  EXPECT_NEAR(r.outside_by_mm, 10.0, 1e-12);
  p = five_loops();
  p.farthest_mm = 4800.0;
  r = check_festoon(p);
  EXPECT_EQ(r.status, FestoonStatus::too_short);
  EXPECT_NEAR(r.outside_by_mm, 50.0, 1e-9);
}

// Towing out, by another route: relaxation of the trolleys that only move when the difference of
// the pulls of their loops is more than friction holds.
TEST(Festoon, WithFrictionTheLoopsNextToTheTowStretchFirst) {
  FestoonProblem p = five_loops();
  p.rolling_friction = 0.02;
  p.nearest_mm = 400.0;
  const auto pull = [&](double pitch) {
    const rod::Catenary c = rod::solve_catenary({pitch - p.saddle_mm, 0.0, p.loop_mm, p.mass_kg_m});
    return c.has_shape() ? c.horizontal_force_N : std::numeric_limits<double>::infinity();
  };
  const double hold = 0.02 * (0.6 * 0.9 + 0.3) * k_gravity;
  std::vector<double> at(6);
  for (std::size_t i = 0; i < 6; ++i) at[i] = 80.0 * static_cast<double>(i);
  while (at[5] < 3000.0) {
    at[5] = std::min(3000.0, at[5] + 4.0);
    for (int sweep = 0; sweep < (at[5] < 3000.0 ? 4 : 400); ++sweep) {
      for (std::size_t i = 4; i >= 1; --i) {
        const auto excess = [&](double x) { return pull(at[i + 1] - x) - pull(x - at[i - 1]); };
        double lower = at[i];
        double upper = at[i + 1] - p.pitch_stacked_mm;
        if (upper <= lower || excess(lower) <= hold) continue;
        for (int k = 0; k < 40; ++k) {
          const double x = 0.5 * (lower + upper);
          (excess(x) > hold ? lower : upper) = x;
        }
        at[i] = lower;
      }
    }
  }
  const FestoonAt f = festoon_at(p, 3000.0);
  EXPECT_NEAR(f.most_pitch_mm, at[5] - at[4], 0.1);
  EXPECT_NEAR(f.least_pitch_mm, at[1] - at[0], 0.1);
  EXPECT_GT(f.most_pitch_mm, f.least_pitch_mm + 20.0);
  EXPECT_GT(f.most_depth_mm, f.depth_mm);
  EXPECT_LT(f.least_depth_mm, f.depth_mm);
  EXPECT_NEAR(f.most_pull_N, pull(at[5] - at[4]), 0.001);
}

TEST(Festoon, PitchesWithFrictionAddUpToTheTow) {
  FestoonProblem p = five_loops();
  p.loops = 2;
  p.rolling_friction = 0.05;
  const FestoonAt f = festoon_at(p, 1200.0);
  EXPECT_NEAR(f.least_pitch_mm + f.most_pitch_mm, 1200.0, 1e-9);
}

TEST(Festoon, WithMuchFrictionStacksAllButTheLastLoop) {
  FestoonProblem p = five_loops();
  p.rolling_friction = 10.0;
  const FestoonAt f = festoon_at(p, 900.0);
  EXPECT_EQ(f.least_pitch_mm, 80.0);
  EXPECT_NEAR(f.most_pitch_mm, 900.0 - 4.0 * 80.0, 1e-9);
}

TEST(Festoon, RefusesWhatIsOutOfRange) {
  FestoonProblem p = five_loops();
  p.loops = 0;
  EXPECT_EQ(check_festoon(p).status, FestoonStatus::invalid);
  p = five_loops();
  p.mass_kg_m = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(check_festoon(p).status, FestoonStatus::invalid);
  EXPECT_TRUE(std::isnan(festoon_at(five_loops(), 100.0).pitch_mm));
}

}  // namespace
}  // namespace bight::free
