// What must not change a shape: where the frame stands, which way it looks, the mirror, the unit of
// length; and how many threads work.

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "base/parallel.h"
#include "rod/rapid_swing.h"
#include "rod/spatial_rod.h"

namespace bight::rod {
namespace {

/// Out of any plane, lying on a bar.
SpatialRodProblem line() {
  SpatialRodProblem p{.length_mm = 900.0, .mass_kg_m = 0.1, .stiffness_Nm2 = 0.01};
  p.end = {380.0, 90.0, 40.0};
  p.start_tangent = Vec3(0.0, 0.0, -1.0);
  p.end_tangent = glm::normalize(Vec3(0.3, 0.5, 0.8));
  p.radius_mm = 4.0;
  p.obstacles = {Capsule{{100.0, -300.0, -370.0}, {240.0, 300.0, -350.0}, 60.0}};
  return p;
}

std::vector<Vec3> solved(const SpatialRodProblem& p) {
  SpatialRodSolver solver(64);
  const RodReport report = solver.solve_cold(p);
  EXPECT_TRUE(report.converged()) << report.residual;
  EXPECT_FALSE(solver.figures().contacts.empty());
  return solver.points();
}

/// The problem with every place and direction passed through `place` and `direction`.
template <class Place, class Direction>
SpatialRodProblem moved(SpatialRodProblem p, const Place& place, const Direction& direction) {
  p.start = place(p.start);
  p.end = place(p.end);
  p.start_tangent = direction(*p.start_tangent);
  p.end_tangent = direction(*p.end_tangent);
  auto& bar = std::get<Capsule>(p.obstacles[0]);
  bar.a = place(bar.a);
  bar.b = place(bar.b);
  return p;
}

template <class Place>
void expect_moved(const std::vector<Vec3>& before, const std::vector<Vec3>& after,
                  const Place& place) {
  ASSERT_EQ(before.size(), after.size());
  for (std::size_t i = 0; i < before.size(); ++i) {
    EXPECT_LT(glm::distance(place(before[i]), after[i]), 1e-3) << i;
  }
}

TEST(RodSymmetry, TurnedAboutTheVerticalAndMovedItIsTheSameShape) {
  const auto turn = [](const Vec3& v) {
    return Vec3(0.28 * v.x - 0.96 * v.y, 0.96 * v.x + 0.28 * v.y, v.z);
  };
  const auto place = [&](const Vec3& v) { return turn(v) + Vec3(1234.0, -567.0, 890.0); };
  expect_moved(solved(line()), solved(moved(line(), place, turn)), place);
}

TEST(RodSymmetry, MirroredItIsTheMirroredShape) {
  const auto mirror = [](const Vec3& v) { return Vec3(v.x, -v.y, v.z); };
  expect_moved(solved(line()), solved(moved(line(), mirror, mirror)), mirror);
}

// Lengths times s, stiffness times s^3: the dimensionless group EI / (w L^3) stays.
TEST(RodSymmetry, ScaledItIsTheScaledShape) {
  constexpr double k_scale = 3.7;
  const auto scale = [](const Vec3& v) { return k_scale * v; };
  SpatialRodProblem p = moved(line(), scale, [](const Vec3& v) { return v; });
  p.length_mm *= k_scale;
  p.radius_mm *= k_scale;
  p.stiffness_Nm2 *= std::pow(k_scale, 3);
  std::get<Capsule>(p.obstacles[0]).radius_mm *= k_scale;
  expect_moved(solved(line()), solved(p), scale);
}

TEST(RodSymmetry, AnyNumberOfThreadsGivesTheSameBits) {
  const auto shapes = [](unsigned threads) {
    std::vector<std::vector<Vec3>> all(12);
    parallel_for(all.size(), threads, [&](std::size_t i) {
      SpatialRodProblem p = line();
      p.end.x += 7.0 * static_cast<double>(i);
      SpatialRodSolver solver(48);
      if (!solver.solve_cold(p).converged()) return;
      p.obstacles.clear();
      if (!solver.solve_cold(p).converged()) return;
      const RapidMove move{.distance_mm = 40.0, .speed_mm_s = 200.0, .acceleration_mm_s2 = 2000.0};
      const SwingResult swing =
          swing_after_move(p, solver.points(), move, {.end = {0.0, 1.0, 0.0}}, {.watched_s = 0.2});
      if (swing.converged()) all[i] = swing.lines.front().frames.back();
    });
    return all;
  };
  const auto one = shapes(1);
  const auto four = shapes(4);
  for (std::size_t i = 0; i < one.size(); ++i) {
    ASSERT_FALSE(one[i].empty()) << i;
    EXPECT_EQ(one[i], four[i]) << i;
  }
}

}  // namespace
}  // namespace bight::rod
