#include "rod/catenary_length.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

#include "base/tolerance.h"
#include "rod/catenary.h"

namespace bight::rod {
namespace {

TEST(PullWindow, HoldsTheLengthsWhoseTensionIsTheLimit) {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> any(0.0, 1.0);
  int possible = 0;
  int impossible = 0;
  for (int i = 0; i < 1000; ++i) {
    const double dx = 2000.0 * any(random);
    const double dz = 2000.0 * (any(random) - 0.5);
    const double mass = 0.05 + any(random);
    const double limit = 40.0 * any(random);
    const PullWindow w = lengths_for_pull(dx, dz, mass, limit);
    const auto pull = [&](double length) {
      const Catenary c = solve_catenary({dx, dz, length, mass});
      if (!c.has_shape()) return std::numeric_limits<double>::infinity();
      return std::max(c.tension_start_N, c.tension_end_N);
    };
    if (!w.possible) {
      ++impossible;
      EXPECT_GT(w.least_pull_N, limit);
      for (double k : {1.001, 1.01, 1.1, 1.3, 2.0}) {
        EXPECT_GE(pull(k * std::hypot(dx, dz)), w.least_pull_N * (1.0 - 1e-12));
      }
      continue;
    }
    ++possible;
    EXPECT_NEAR(pull(w.longest_mm), limit, 1e-9 * limit);
    // Nearly taut lines turn rounding of the length into tension; so compare lengths on both sides.
    const double slightly = 1e-9 * w.shortest_mm;
    EXPECT_GE(pull(w.shortest_mm - slightly), limit);
    EXPECT_LE(pull(w.shortest_mm + slightly), limit);
    EXPECT_LE(pull(0.5 * (w.shortest_mm + w.longest_mm)), limit);
  }
  EXPECT_GT(possible, 100);
  EXPECT_GT(impossible, 100);
}

TEST(PullWindow, OfAVerticalLineIsItsOwnWeight) {
  const double weight = 0.1 * k_gravity / 1000.0;
  const PullWindow w = lengths_for_pull(0.0, -500.0, 0.1, 1.0);
  ASSERT_TRUE(w.possible);
  EXPECT_DOUBLE_EQ(w.shortest_mm, 500.0);
  EXPECT_DOUBLE_EQ(w.longest_mm, 2.0 / weight - 500.0);  // tension w (L + 500) / 2 at the top
  EXPECT_FALSE(lengths_for_pull(0.0, -500.0, 0.1, 0.4).possible);
}

// sinh-free classic: the greatest span of a level line of unlimited length with strength T is
// 2 T / w times max of u / cosh(u), 0.6627434193 (Laplace limit), reached at u = 1.1996786402.
TEST(PullWindow, ReachesTheGreatestSpanAtTheLaplaceLimit) {
  const double weight = 0.1 * k_gravity / 1000.0;
  const double span = 0.662743419349181580974742097109 * 2.0 * 3.0 / weight;
  EXPECT_TRUE(lengths_for_pull(span * (1.0 - 1e-9), 0.0, 0.1, 3.0).possible);
  EXPECT_FALSE(lengths_for_pull(span * (1.0 + 1e-9), 0.0, 0.1, 3.0).possible);
}

TEST(LengthForLowest, IsUndoneByTheCatenary) {
  std::mt19937 random(4);
  std::uniform_real_distribution<double> any(0.0, 1.0);
  for (int i = 0; i < 1000; ++i) {
    const double dx = std::pow(10.0, -2.0 + 6.0 * any(random));
    const double a = 1000.0 * any(random);
    const double b = 1000.0 * any(random);
    const double length = length_for_lowest(dx, a, b);
    const Catenary c = solve_catenary({dx, b - a, length, 0.1});
    ASSERT_TRUE(c.has_shape());
    // Nearly taut lines: the depth changes by 1/slope of the length's rounding.
    EXPECT_NEAR(c.lowest.y, -a, 1e-9 * (1.0 + dx));
  }
  EXPECT_DOUBLE_EQ(length_for_lowest(0.0, 300.0, 200.0), 500.0);
  EXPECT_DOUBLE_EQ(length_for_lowest(700.0, 0.0, 0.0), 700.0);
}

}  // namespace
}  // namespace bight::rod
