#include "rod/elastic_catenary.h"

#include <gtest/gtest.h>

#include <limits>

namespace bight::rod {
namespace {

/// From chains of 500 to 4000 springs with lumped weights, extrapolated (agreement 1e-13).
struct Row {
  double dx, dz, length, mass, stiffness;
  double h, va, vb, ta, tb, stretched, lowest_x, lowest_z;
};

constexpr Row k_rows[] = {
    {800, 0, 1000, 0.1, 10, 0.29451192, -0.49033250, 0.49033250, 0.57198185, 0.57198185, 1039.94588,
     400.00000, -295.19889},
    {800, 0, 790, 0.1, 500, 6.61447463, -0.38736267, 0.38736267, 6.62580746, 6.62580746, 800.45684,
     400.00000, -11.70928},
    {600, 250, 900, 0.12, 5, 0.19729923, -0.38801079, 0.67110741, 0.43529227, 0.69950850, 965.38136,
     252.52685, -215.03119},
};

TEST(ElasticCatenary, AgreesWithExtrapolatedChainsOfSprings) {
  for (const Row& r : k_rows) {
    const ElasticCatenary c = solve_elastic_catenary({{r.dx, r.dz, r.length, r.mass}, r.stiffness});
    ASSERT_TRUE(c.converged);
    constexpr double k_force = 0.51e-8;
    constexpr double k_mm = 0.51e-5;
    EXPECT_NEAR(c.horizontal_force_N, r.h, k_force);
    EXPECT_NEAR(c.vertical_start_N, r.va, k_force);
    EXPECT_NEAR(c.vertical_end_N, r.vb, k_force);
    EXPECT_NEAR(c.tension_start_N, r.ta, k_force);
    EXPECT_NEAR(c.tension_end_N, r.tb, k_force);
    EXPECT_NEAR(c.stretched_length_mm, r.stretched, k_mm);
    EXPECT_NEAR(c.lowest.x, r.lowest_x, k_mm);
    EXPECT_NEAR(c.lowest.y, r.lowest_z, k_mm);
  }
}

TEST(ElasticCatenary, TendsToTheInextensibleOneAsItGetsStiff) {
  const CatenaryProblem line{600.0, -250.0, 900.0, 0.12};
  const Catenary limp = solve_catenary(line);
  for (double stiffness : {1e3, 1e5, 1e7}) {
    const ElasticCatenary c = solve_elastic_catenary({line, stiffness});
    ASSERT_TRUE(c.converged);
    EXPECT_NEAR(c.horizontal_force_N, limp.horizontal_force_N, 2.0 / stiffness);
    EXPECT_NEAR(c.lowest.y, limp.lowest.y, 1000.0 / stiffness);
  }
}

TEST(ElasticCatenary, FindsTheSpringWhenStretchedFarBeyondItsLength) {
  // Weight hardly matters: H = EA (c / L0 - 1) dx / c.
  const ElasticCatenary c = solve_elastic_catenary({{1600.0, 1200.0, 1000.0, 1e-5}, 50.0});
  ASSERT_TRUE(c.converged);
  EXPECT_NEAR(c.horizontal_force_N, 50.0 * 0.8, 1e-6);
  EXPECT_NEAR(c.stretched_length_mm, 2000.0, 1e-4);
}

TEST(ElasticCatenary, RefusesValuesOutOfRange) {
  EXPECT_FALSE(solve_elastic_catenary({{0.0, 1.0, 2.0, 0.1}, 10.0}).converged);
  EXPECT_FALSE(solve_elastic_catenary({{1.0, 1.0, 2.0, 0.1}, 0.0}).converged);
  EXPECT_FALSE(
      solve_elastic_catenary({{1.0, std::numeric_limits<double>::quiet_NaN(), 2.0, 0.1}, 1.0})
          .converged);
}

}  // namespace
}  // namespace bight::rod
