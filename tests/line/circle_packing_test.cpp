#include "line/circle_packing.h"

#include <gtest/gtest.h>

#include <array>

namespace bight::line {
namespace {

PackingProblem equal_circles(std::size_t count, double radius, Vec2 size) {
  PackingProblem problem;
  problem.goal = PackingGoal::most_room;
  problem.size_mm = size;
  problem.wall_mm.assign(count, radius);
  problem.apart_mm.assign(count * count, 2.0 * radius);
  return problem;
}

/// Least gap to walls and between circles, measured afresh.
double least_gap(const PackingProblem& problem, const std::vector<Vec2>& centres) {
  double least = 1e300;
  for (std::size_t i = 0; i < centres.size(); ++i) {
    const Vec2 c = centres[i];
    const double wall = problem.wall_mm[i];
    least = std::min({least, c.x - wall, c.y - wall, problem.size_mm.x - c.x - wall,
                      problem.size_mm.y - c.y - wall});
    for (std::size_t k = 0; k < i; ++k) {
      least =
          std::min(least, glm::length(c - centres[k]) - problem.apart_mm[i * centres.size() + k]);
    }
  }
  return least;
}

// Largest radius of N equal circles in a unit square, best known: Specht's list.
constexpr std::array<double, 20> k_square{
    0.500000000, 0.292893219, 0.254333095, 0.250000000, 0.207106781, 0.187680601, 0.174457630,
    0.170540689, 0.166666667, 0.148204323, 0.142399238, 0.139958844, 0.133993513, 0.129331794,
    0.127166548, 0.125000000, 0.117196743, 0.115521432, 0.112265438, 0.111382348};

TEST(CirclePacking, EqualCirclesGoIntoTheSquareThatTheListGives) {
  for (std::size_t n = 1; n <= k_square.size(); ++n) {
    SCOPED_TRACE(n);
    const PackingProblem problem = equal_circles(n, k_square[n - 1] - 1e-8, {1.0, 1.0});
    const PackingResult packed =
        pack_circles(problem, {.starts = 2000, .enough = 0.0, .first = {}});
    EXPECT_LE(packed.s, 0.0);
    EXPECT_NEAR(least_gap(problem, packed.centres_mm), -packed.s, 1e-12);
  }
}

TEST(CirclePacking, EqualCirclesDoNotGoIntoASmallerSquare) {
  for (std::size_t n = 1; n <= 10; ++n) {  // proved optimal (Specht's list, N <= 10 and more)
    SCOPED_TRACE(n);
    const PackingProblem problem = equal_circles(n, k_square[n - 1] * 1.00001, {1.0, 1.0});
    EXPECT_GT(pack_circles(problem, {.starts = 25, .enough = 0.0, .first = {}}).s, 0.0);
  }
}

TEST(CirclePacking, EqualCirclesGoIntoATwoByOneRectangle) {
  // Best of 150 random starts of an independent search.
  const std::array<double, 10> radius{0.50000000, 0.50000000, 0.35424869, 0.30384758, 0.28220211,
                                      0.27124344, 0.25433310, 0.25000000, 0.22130731, 0.21156634};
  for (std::size_t n = 1; n <= radius.size(); ++n) {
    SCOPED_TRACE(n);
    const PackingProblem problem = equal_circles(n, radius[n - 1] - 1e-7, {2.0, 1.0});
    EXPECT_LE(pack_circles(problem, {.starts = 1000, .enough = 0.0, .first = {}}).s, 0.0);
    const PackingProblem larger = equal_circles(n, radius[n - 1] * 1.0001, {2.0, 1.0});
    EXPECT_GT(pack_circles(larger, {.starts = 25, .enough = 0.0, .first = {}}).s, 0.0);
  }
}

TEST(CirclePacking, RoomIsSharedEvenly) {
  // One circle of radius 1 in 10 x 6: the floor and the ceiling are nearest, 3 - 1 = 2 each.
  const PackingProblem problem = equal_circles(1, 1.0, {10.0, 6.0});
  EXPECT_NEAR(pack_circles(problem, {.starts = 4, .enough = {}, .first = {}}).s, -2.0, 1e-9);
}

TEST(CirclePacking, LeastWidthOfTwoCirclesThatMustOverlapInX) {
  // Height 3, radius 1: the centres are 1 apart in y, so sqrt(4 - 1) in x: width 2 + sqrt 3.
  PackingProblem problem = equal_circles(2, 1.0, {0.0, 3.0});
  problem.goal = PackingGoal::least_width;
  const PackingResult packed = pack_circles(problem, {.starts = 12, .enough = {}, .first = {}});
  EXPECT_NEAR(packed.s, 2.0 + std::sqrt(3.0), 1e-9);
  EXPECT_LE(packed.overlap_mm, 1e-9);
}

TEST(CirclePacking, GivenCirclesStayWhereTheyAre) {
  PackingProblem problem = equal_circles(3, 1.0, {6.0, 2.5});
  problem.fixed_mm = {Vec2(3.0, 1.25), std::nullopt, std::nullopt};
  const PackingResult packed = pack_circles(problem, {.starts = 20, .enough = 0.0, .first = {}});
  EXPECT_LE(packed.s, 0.0);
  EXPECT_EQ(packed.centres_mm[0], Vec2(3.0, 1.25));
  EXPECT_GE(least_gap(problem, packed.centres_mm), -1e-12);
}

}  // namespace
}  // namespace bight::line
