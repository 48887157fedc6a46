#include "clearance/column_interval.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "clearance/gjk.h"
#include "scenes/random_scene.h"

namespace bight::clearance {
namespace {

using scenes::Random;

constexpr Interval k_all{-1e6, 1e6};
constexpr double k_rounding = 1e-9;

Footprint footprint(const Vec3& center, const std::vector<Vec3>& half) {
  Footprint at;
  at.center = center;
  at.half = half;
  for (const Vec3& h : half) at.half_box += glm::abs(h);
  return at;
}

// Largest volume spanned by three of the edges that K is made of.
double volume_of_edges(const Triangle& a, const Triangle& b, std::vector<Vec3> edges) {
  for (const Triangle* t : {&a, &b})
    for (std::size_t k = 0; k < 3; ++k) edges.push_back((*t)[(k + 1) % 3] - (*t)[k]);
  double largest = 0.0;
  for (const Vec3& u : edges)
    for (const Vec3& v : edges)
      for (const Vec3& w : edges)
        largest = std::max(largest, std::abs(glm::dot(u, glm::cross(v, w))));
  return largest;
}

// A floor at z = 0 and a horizontal triangle at z = 5: they touch where A is lowered by 5.
TEST(ColumnInterval, ParallelTrianglesTouchAtOneHeight) {
  const Triangle a = {Vec3(0, 0, 5), Vec3(1, 0, 5), Vec3(0, 1, 5)};
  const Triangle b = {Vec3(-9, -9, 0), Vec3(9, -9, 0), Vec3(0, 9, 0)};
  const auto s = contact_interval(a, b, footprint(Vec3(0.0), {}), k_all, k_rounding);
  ASSERT_TRUE(s);
  EXPECT_NEAR(s->lower, -5.0, 1e-8);
  EXPECT_NEAR(s->upper, -5.0, 1e-8);
  EXPECT_FALSE(contact_interval(a, b, footprint(Vec3(20, 0, 0), {}), k_all, k_rounding));
}

// A point over the slope z = x / 2; a footprint of +-2 along x widens the heights by 1 both ways.
TEST(ColumnInterval, AFootprintWidensTheHeightsOverASlope) {
  const Vec3 p(0, 0, 10);
  const Triangle b = {Vec3(-20, -20, -10), Vec3(20, -20, 10), Vec3(0, 40, 0)};
  const auto s =
      contact_interval({p, p, p}, b, footprint(Vec3(0.0), {Vec3(2, 0, 0)}), k_all, k_rounding);
  ASSERT_TRUE(s);
  EXPECT_NEAR(s->lower, -11.0, 1e-8);
  EXPECT_NEAR(s->upper, -9.0, 1e-8);
}

TEST(ColumnInterval, IsClippedByTheWindow) {
  const Vec3 p(0, 0, 0);
  const Triangle wall = {Vec3(0, -5, -30), Vec3(0, 5, -30), Vec3(0, 0, 30)};
  const auto s = contact_interval({p, p, p}, wall, footprint(Vec3(0.0), {}), {-4, 7}, k_rounding);
  ASSERT_TRUE(s);
  EXPECT_EQ(s->lower, -4.0);
  EXPECT_EQ(s->upper, 7.0);
  EXPECT_FALSE(contact_interval({p, p, p}, wall, footprint(Vec3(0.0), {}), {31, 90}, k_rounding));
}

// GJK on the swept triangles tells for each height whether any translation of the footprint gives
// contact: none beyond the ends, some between them.
TEST(ColumnInterval, HasTheEndsThatGjkFinds) {
  std::size_t hits = 0;
  constexpr std::size_t k_cases = 20'000;
  for (std::size_t seed = 0; seed < k_cases; ++seed) {
    Random random(seed);
    const auto triangle = [&] {
      const Vec3 c = random.uniform(0.0, 1.5) * random.direction();
      Triangle t;
      for (Vec3& p : t) p = c + random.uniform(0.1, 2.0) * random.direction();
      if (random.chance(0.1)) t[2] = 0.5 * (t[0] + t[1]);
      if (random.chance(0.05)) t[1] = t[2] = t[0];
      return t;
    };
    const Triangle a = triangle();
    const Triangle b = triangle();
    std::vector<Vec3> half;
    const int generators = random.integer(0, 3);
    for (int i = 0; i < generators; ++i)
      half.push_back(random.uniform(0.01, 0.8) * random.direction());
    const Footprint at = footprint(0.5 * random.direction(), half);
    const auto s = contact_interval(a, b, at, k_all, k_rounding);

    SweptTriangles gjk;
    const auto gap = [&](double height) {
      Zonotope z;
      z.center = at.center + Vec3(0, 0, height);
      z.generators = half;
      Vec3 start(0.0);
      return gjk.solve(a, b, z, {std::numeric_limits<double>::infinity(), 0.0}, start);
    };
    if (!s) {
      for (double height = -4.0; height <= 4.0; height += 0.25)
        ASSERT_GT(gap(height).upper, 0.0) << "case " << seed;
      continue;
    }
    ++hits;
    EXPECT_GT(gap(s->upper + 1e-6).upper, 0.0) << "case " << seed;
    EXPECT_GT(gap(s->lower - 1e-6).upper, 0.0) << "case " << seed;
    // Between the ends there is contact, where the polytope K has volume. A normal that hardly
    // leans towards the column is left out, which may cost 1e-4 of the triangles' size.
    if (!(volume_of_edges(a, b, half) > 1e-3)) continue;
    for (const double share : {0.0, 0.3, 0.5, 1.0}) {
      const double height = s->lower + share * (s->upper - s->lower);
      EXPECT_LT(gap(height).lower, 5e-4) << "case " << seed;
    }
  }
  EXPECT_GT(hits, k_cases * 3 / 10);
  EXPECT_LT(hits, k_cases * 9 / 10);
}

}  // namespace
}  // namespace bight::clearance
