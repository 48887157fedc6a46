// The query's answer must not depend on what does not matter: which part is called A, the order of
// vertices and triangles, the side of a mirror, where the origin is, the unit of length, or what an
// earlier query left behind.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <string>

#include "base/parallel.h"
#include "clearance/query.h"
#include "scenes/random_scene.h"

namespace bight::clearance {
namespace {

using scenes::Random;
using scenes::Scene;

constexpr std::size_t k_scenes = 2000;

QueryResult ask(const Scene& s, double tolerance) {
  return query_clearance(shape::make_solid(s.a), shape::make_solid(s.b), s.travel,
                         {.tolerance_mm = tolerance});
}

Travel mapped(Travel travel, const std::function<Vec3(const Vec3&)>& map) {
  for (Axis& axis : travel) axis.direction = map(axis.direction);
  return travel;
}

// Both results bound the same number, the second in units of `factor`.
void expect_same(const QueryResult& p, const QueryResult& q, double factor, double rounding,
                 const std::string& what) {
  EXPECT_LE(p.lower_mm, q.upper_mm / factor + rounding) << what;
  EXPECT_LE(q.lower_mm / factor, p.upper_mm + rounding) << what;
  // Contact is told from clearance in both, unless it is a matter of rounding.
  const bool matter_of_rounding = std::max(p.upper_mm, q.upper_mm / factor) <= rounding;
  EXPECT_TRUE(matter_of_rounding || (p.upper_mm == 0.0) == (q.upper_mm == 0.0)) << what;
}

TEST(Symmetry, OfSwappedShuffledMirroredMovedAndScaledScenes) {
  std::size_t contacts = 0;
  for (std::size_t seed = 0; seed < k_scenes; ++seed) {
    const Scene s = scenes::random_scene(100'000 + seed);
    const double tolerance = 5e-4 * s.size_mm;
    const QueryResult r = ask(s, tolerance);
    if (r.upper_mm == 0.0) ++contacts;
    Random random(seed);
    const bool far_away = s.kind.find("far away") != std::string::npos;
    const double rounding = (far_away ? 1e-5 : 1e-8) * s.size_mm;
    const std::string name = s.kind + ": ";

    Scene swapped = s;  // B moved against A by the opposite motion
    std::swap(swapped.a, swapped.b);
    swapped.travel = mapped(s.travel, [](const Vec3& d) { return -d; });
    expect_same(r, ask(swapped, tolerance), 1.0, rounding, name + "swapped");

    Scene shuffled = s;
    shuffled.a = scenes::shuffled(random, s.a);
    shuffled.b = scenes::shuffled(random, s.b);
    expect_same(r, ask(shuffled, tolerance), 1.0, rounding, name + "shuffled");

    Scene reordered = s;
    std::reverse(reordered.travel.begin(), reordered.travel.end());
    expect_same(r, ask(reordered, tolerance), 1.0, rounding, name + "joints reordered");

    Scene mirrored = s;
    mirrored.a = scenes::mirrored(s.a);
    mirrored.b = scenes::mirrored(s.b);
    mirrored.travel = mapped(s.travel, [](const Vec3& d) { return Vec3(-d.x, d.y, d.z); });
    expect_same(r, ask(mirrored, tolerance), 1.0, rounding, name + "mirrored");

    Scene moved = s;
    const Vec3 t = 50.0 * s.size_mm * random.direction();
    moved.a = shape::translated(s.a, t);
    moved.b = shape::translated(s.b, t);
    expect_same(r, ask(moved, tolerance), 1.0, rounding, name + "moved");

    Scene turned = s;
    const Mat3 turn = random.turn();
    turned.a = shape::placed(s.a, turn, Vec3(0.0));
    turned.b = shape::placed(s.b, turn, Vec3(0.0));
    turned.travel = mapped(s.travel, [&](const Vec3& d) { return turn * d; });
    expect_same(r, ask(turned, tolerance), 1.0, 10.0 * rounding, name + "turned");

    for (const double factor : {0.01, 25.4, 100.0}) {
      Scene other = s;
      other.a = scenes::scaled(s.a, factor);
      other.b = scenes::scaled(s.b, factor);
      other.travel = mapped(s.travel, [&](const Vec3& d) { return factor * d; });
      expect_same(r, ask(other, factor * tolerance), factor, rounding, name + "scaled");
    }
  }
  EXPECT_GT(contacts, k_scenes * 3 / 10);
  EXPECT_LT(contacts, k_scenes * 7 / 10);
}

// A query object keeps memory and starting guesses: its bounds must hold whatever came before, and
// queries from several threads give the bits of one thread.
TEST(Symmetry, OfFreshAndReusedQueries) {
  for (std::size_t seed = 0; seed < 300; ++seed) {
    const Scene s = scenes::random_scene(200'000 + seed);
    const shape::Solid a = shape::make_solid(s.a);
    const shape::Solid b = shape::make_solid(s.b);
    const double tolerance = 5e-4 * s.size_mm;
    ClearanceQuery reused(a, b);
    Random random(seed);
    for (int i = 0; i < 12; ++i) {
      Travel part = s.travel;
      for (Axis& axis : part) {
        const double p = random.uniform(axis.lower, axis.upper);
        const double q = random.uniform(axis.lower, axis.upper);
        axis.lower = std::min(p, q);
        axis.upper = std::max(p, q);
      }
      const QueryResult fresh = query_clearance(a, b, part, {.tolerance_mm = tolerance});
      const QueryResult again = reused.clearance(part, {.tolerance_mm = tolerance});
      expect_same(fresh, again, 1.0, 1e-7 * s.size_mm, s.kind);
    }
  }
}

TEST(Symmetry, OfOneAndManyThreads) {
  constexpr std::size_t k_few = 300;
  std::vector<QueryResult> one(k_few);
  std::vector<QueryResult> many(k_few);
  const auto run = [](std::size_t i) { return ask(scenes::random_scene(300'000 + i), 0.01); };
  parallel_for(k_few, 1, [&](std::size_t i) { one[i] = run(i); });
  parallel_for(k_few, 4, [&](std::size_t i) { many[i] = run(i); });
  for (std::size_t i = 0; i < k_few; ++i) {
    EXPECT_EQ(one[i].lower_mm, many[i].lower_mm);
    EXPECT_EQ(one[i].upper_mm, many[i].upper_mm);
    EXPECT_EQ(one[i].pose, many[i].pose);
    EXPECT_EQ(one[i].point_a, many[i].point_a);
  }
}

}  // namespace
}  // namespace bight::clearance
