#include "plan/simple_polygon.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

namespace bight::plan {
namespace {

TEST(SimplePolygon, AcceptsOutlinesInEitherSense) {
  std::vector<Vec2> angle = {{0, 0}, {40, 0}, {40, 10}, {10, 10}, {10, 40}, {0, 40}};
  EXPECT_FALSE(first_bad_edge(angle));
  std::reverse(angle.begin(), angle.end());
  EXPECT_FALSE(first_bad_edge(angle));
}

TEST(SimplePolygon, AcceptsCornersOnAStraightSide) {
  EXPECT_FALSE(first_bad_edge({{0, 0}, {5, 0}, {10, 0}, {10, 10}, {0, 10}}));
}

TEST(SimplePolygon, FindsTheEdgeOfABowTieThatCrosses) {
  EXPECT_EQ(first_bad_edge({{0, 0}, {10, 10}, {10, 0}, {0, 10}}), 0U);
  EXPECT_EQ(first_bad_edge({{0, 0}, {20, 0}, {20, 10}, {5, 10}, {15, 20}, {15, 5}, {0, 10}}), 2U);
}

TEST(SimplePolygon, FindsACornerThatTouchesASide) {
  EXPECT_TRUE(first_bad_edge({{0, 0}, {20, 0}, {20, 10}, {10, 0}, {0, 10}}));
}

TEST(SimplePolygon, FindsAnEdgeThatFoldsBackOrHasNoLength) {
  EXPECT_TRUE(first_bad_edge({{0, 0}, {10, 0}, {5, 0}}));
  EXPECT_EQ(first_bad_edge({{0, 0}, {10, 0}, {10, 0}, {10, 10}}), 1U);
  EXPECT_TRUE(first_bad_edge({{0, 0}, {10, 0}, {10, 10}, {0, 0}}));  // closed by hand
}

// Stars about a point, rising angle, any radius: simple by construction. Two corners swapped that
// are not neighbours make it cross itself.
TEST(SimplePolygon, TellsRandomStarsFromScrambledOnes) {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> radius(10.0, 100.0);
  int scrambled_found = 0;
  for (int trial = 0; trial < 200; ++trial) {
    const int n = 8 + trial % 20;
    std::vector<Vec2> star;
    for (int i = 0; i < n; ++i) {
      const double angle = 2.0 * std::numbers::pi * i / n;
      const double r = radius(random);
      star.emplace_back(r * std::cos(angle), r * std::sin(angle));
    }
    EXPECT_FALSE(first_bad_edge(star)) << trial;
    std::swap(star[0], star[static_cast<std::size_t>(n / 2)]);
    if (first_bad_edge(star)) ++scrambled_found;
  }
  EXPECT_EQ(scrambled_found, 200);
}

}  // namespace
}  // namespace bight::plan
