#include "rod/rod.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/tolerance.h"

namespace bight::rod {
namespace {

// Values by collocation, multiple shooting and extrapolated links (8e-10): span 0.8 L between
// horizontal clamps, EI from 1e-2 to 1e-4 of w L^3; radius in L, force in w L.
TEST(SolveRod, RefinesUntilTheRadiusIsRightToATenthOfAPercent) {
  struct Row {
    double e, force, moment, radius, lowest;
  };
  for (const Row& r : {Row{0.01, -0.1571885, -0.0893953, 0.111863, -0.268823},
                       Row{0.001, 0.2487760, -0.0234615, 0.042623, -0.268401},
                       Row{0.0001, 0.3135239, -0.0073072, 0.013685, -0.266472}}) {
    const PlanarRodProblem p{.length_mm = 1000.0,
                             .mass_kg_m = 1.0 / k_gravity,
                             .stiffness_Nm2 = r.e,
                             .end = {800.0, 0.0},
                             .at_start = {EndKind::clamped, 0.0},
                             .at_end = {EndKind::clamped, 0.0}};
    const RodResult result = solve_rod(p);
    ASSERT_TRUE(result.converged()) << r.e;
    EXPECT_LE(result.radius_change, 0.005);
    EXPECT_NEAR(result.figures.smallest_radius_mm, 1000.0 * r.radius, r.radius);
    EXPECT_NEAR(result.figures.horizontal_force_N, r.force, 1e-3 * std::abs(r.force));
    EXPECT_NEAR(result.figures.moment_start_Nmm, 1000.0 * r.moment, std::abs(r.moment));
    EXPECT_NEAR(result.figures.lowest.y, 1000.0 * r.lowest, 0.05);
    EXPECT_EQ(result.points.size(), static_cast<std::size_t>(result.segments) + 1);
  }
}

TEST(SolveRod, NeedsMoreLinksForASofterLine) {
  PlanarRodProblem p{.length_mm = 1000.0,
                     .mass_kg_m = 1.0 / k_gravity,
                     .stiffness_Nm2 = 0.01,
                     .end = {800.0, 0.0},
                     .at_start = {EndKind::clamped, 0.0},
                     .at_end = {EndKind::clamped, 0.0}};
  const int stiff = solve_rod(p).segments;
  p.stiffness_Nm2 = 1e-5;
  EXPECT_GT(solve_rod(p).segments, stiff);
}

TEST(SolveRod, DoesNotClaimToHaveRefinedWhatItCouldNot) {
  const PlanarRodProblem p{.length_mm = 1000.0,
                           .mass_kg_m = 1.0 / k_gravity,
                           .stiffness_Nm2 = 1e-5,
                           .end = {800.0, 0.0},
                           .at_start = {EndKind::clamped, 0.0},
                           .at_end = {EndKind::clamped, 0.0}};
  const RodResult coarse = solve_rod(p, {.first_segments = 32, .most_segments = 64});
  EXPECT_TRUE(coarse.report.converged());
  EXPECT_FALSE(coarse.refined);
  EXPECT_FALSE(coarse.converged());
}

TEST(SolveRod, PassesOnWhyThereIsNoShape) {
  PlanarRodProblem p{.length_mm = 1000.0, .mass_kg_m = 0.1, .stiffness_Nm2 = 0.01};
  p.end = {1200.0, 0.0};
  EXPECT_EQ(solve_rod(p).report.status, RodStatus::too_short);
  p.end = {500.0, 0.0};
  p.stiffness_Nm2 = -1.0;
  EXPECT_EQ(solve_rod(p).report.status, RodStatus::invalid);
}

}  // namespace
}  // namespace bight::rod
