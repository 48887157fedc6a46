#include "shape/triangulate.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

namespace bight::shape {
namespace {

double area(const Vec2& a, const Vec2& b, const Vec2& c) {
  return 0.5 * ((b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x));
}

/// n - 2 triangles, none turned over, whose areas add up to the polygon's: together that means that
/// they cover it once.
void expect_triangulation(const std::vector<Vec2>& polygon) {
  ASSERT_EQ(outline_problem(polygon), "");
  const auto triangles = triangulated(polygon);
  ASSERT_TRUE(triangles);
  ASSERT_EQ(triangles->size(), polygon.size() - 2);
  double sum = 0.0;
  for (const auto& t : *triangles) {
    const double part = area(polygon[t[0]], polygon[t[1]], polygon[t[2]]);
    EXPECT_GT(part, 0.0);
    sum += part;
  }
  double shoelace = 0.0;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Vec2 p = polygon[i] - polygon[0];
    const Vec2 q = polygon[(i + 1) % polygon.size()] - polygon[0];
    shoelace += 0.5 * (p.x * q.y - p.y * q.x);
  }
  EXPECT_NEAR(sum, shoelace, 1e-9 * shoelace);
}

TEST(Triangulation, OfASquareWithPointsInLineHasNoFlatTriangle) {
  expect_triangulation({{0, 0}, {1, 0}, {2, 0}, {3, 0}, {3, 3}, {2, 3}, {0, 3}, {0, 1}});
}

TEST(Triangulation, OfACombFillsEveryTooth) {
  std::vector<Vec2> comb = {{0, -5}, {200, -5}};
  for (int tooth = 99; tooth >= 0; --tooth) {
    comb.push_back({2.0 * tooth + 2.0, 0.0});
    comb.push_back({2.0 * tooth + 1.0, 50.0});
  }
  comb.push_back({0, 0});
  expect_triangulation(comb);
}

TEST(Triangulation, OfASpiralFollowsItsTurns) {
  std::vector<Vec2> outer;
  std::vector<Vec2> inner;
  for (int i = 0; i <= 200; ++i) {
    const double angle = 0.1 * i;
    const Vec2 direction(std::cos(angle), std::sin(angle));
    outer.push_back((10.0 + angle) * direction);
    inner.push_back((8.0 + angle) * direction);
  }
  outer.insert(outer.end(), inner.rbegin(), inner.rend());
  expect_triangulation(outer);
}

// Polygons that are stars about a point, with random radii: strongly concave, always simple.
TEST(Triangulation, OfRandomStarsCoversThem) {
  std::mt19937 random(1);
  std::uniform_real_distribution<double> radius(0.05, 1.0);
  std::uniform_int_distribution<int> corners(3, 60);
  for (int trial = 0; trial < 300; ++trial) {
    const int n = corners(random);
    const double scale = std::pow(10.0, trial % 7 - 1);
    std::vector<Vec2> star;
    for (int i = 0; i < n; ++i) {
      const double angle = 2.0 * std::numbers::pi * i / n;
      star.push_back(scale * radius(random) * Vec2(std::cos(angle), std::sin(angle)) +
                     Vec2(1000.0, -500.0));
    }
    if (n == 3 && !(twice_area(star) > 1e-3)) continue;
    expect_triangulation(star);
  }
}

TEST(OutlineProblem, NamesTheEdgesThatMeet) {
  EXPECT_EQ(outline_problem({{0, 0}, {10, 10}, {10, 0}, {0, 10}}),
            "its edge from point 1 meets the one from point 3");
}

TEST(OutlineProblem, ACornerOnAnotherEdgeCountsAsMeeting) {
  EXPECT_NE(outline_problem({{0, 0}, {10, 0}, {10, 5}, {5, 0}, {0, 5}}), "");
  EXPECT_EQ(outline_problem({{0, 0}, {10, 0}, {10, 5}, {5, 1e-5}, {0, 5}}), "");
}

TEST(OutlineProblem, AgreesWithAnExactTestOnRandomQuadrilaterals) {
  // Integer corners: crossing is decided exactly, in integers.
  std::mt19937 random(2);
  std::uniform_int_distribution<int> coordinate(0, 6);
  int simple = 0;
  for (int trial = 0; trial < 2000; ++trial) {
    long long p[4][2];
    for (auto& q : p) {
      q[0] = coordinate(random);
      q[1] = coordinate(random);
    }
    const auto turn = [&p](int a, int b, int c) {
      return (p[b][0] - p[a][0]) * (p[c][1] - p[a][1]) - (p[b][1] - p[a][1]) * (p[c][0] - p[a][0]);
    };
    const auto within = [&p](int a, int b, int c) {  // c in line with a-b: between them?
      return (p[c][0] - p[a][0]) * (p[c][0] - p[b][0]) +
                 (p[c][1] - p[a][1]) * (p[c][1] - p[b][1]) <=
             0;
    };
    const auto meet = [&](int a, int b, int c, int d) {
      const auto sign = [](long long v) { return (v > 0) - (v < 0); };
      if (sign(turn(a, b, c)) * sign(turn(a, b, d)) < 0 &&
          sign(turn(c, d, a)) * sign(turn(c, d, b)) < 0) {
        return true;
      }
      return (turn(a, b, c) == 0 && within(a, b, c)) || (turn(a, b, d) == 0 && within(a, b, d)) ||
             (turn(c, d, a) == 0 && within(c, d, a)) || (turn(c, d, b) == 0 && within(c, d, b));
    };
    bool bad = meet(0, 1, 2, 3) || meet(1, 2, 3, 0);
    for (int i = 0; i < 4; ++i) {  // neighbours that fold back, or equal points
      const int j = (i + 1) % 4;
      const int k = (i + 2) % 4;
      if (turn(i, j, k) == 0 && (within(i, j, k) || within(j, k, i))) bad = true;
    }
    std::vector<Vec2> outline;
    for (const auto& q : p)
      outline.emplace_back(static_cast<double>(q[0]), static_cast<double>(q[1]));
    if (without_repeats(outline).size() < 4) continue;
    EXPECT_EQ(outline_problem(outline).empty(), !bad) << trial;
    simple += bad ? 0 : 1;
  }
  EXPECT_GT(simple, 400);
  EXPECT_LT(simple, 1600);
}

}  // namespace
}  // namespace bight::shape
