// The pieces of a chain at its stops against a rod with a little bending stiffness and the same
// curvature limits: another model (segments, interior point method), which tends to the pieces as
// its stiffness and its segments go to 0.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/tolerance.h"
#include "chain/chain_shape.h"
#include "rod/spatial_rod.h"

namespace bight::chain {
namespace {

struct RodFigures {
  bool converged = false;
  double farthest_mm = 0.0;  ///< of its joints from the pieces
  double pull_N = 0.0;
  double front_mm = 0.0;
};

double distance_to(const std::vector<Vec2>& line, const Vec2& q) {
  double nearest = glm::distance(line.front(), q);
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    const Vec2 d = line[i + 1] - line[i];
    const double square = glm::dot(d, d);
    const double t = square > 0.0 ? std::clamp(glm::dot(q - line[i], d) / square, 0.0, 1.0) : 0.0;
    nearest = std::min(nearest, glm::distance(q, line[i] + t * d));
  }
  return nearest;
}

/// The rod starts from the loop of two runs and a half circle, so nothing of the pieces' shape
/// goes in.
RodFigures rod_of(const ChainShapeProblem& p, const ChainShape& shape, double stiffness_Nm2,
                  int segments) {
  rod::SpatialRodProblem r{
      .length_mm = p.length_mm, .mass_kg_m = p.mass_kg_per_m, .stiffness_Nm2 = stiffness_Nm2};
  r.start = {0.0, 0.0, 0.0};
  r.end = {p.moving.x, 0.0, p.moving.y};
  r.start_tangent = Vec3(1.0, 0.0, 0.0);
  r.space = rod::RodSpace::xz_plane;
  if (p.tray) r.obstacles = {rod::Floor{0.0}};
  r.limits = rod::CurvatureLimits{p.back_radius_mm ? -1000.0 / *p.back_radius_mm : 0.0,
                                  1000.0 / p.bend_radius_mm};
  std::vector<Vec3> start;
  const double radius = 0.5 * p.moving.y;
  const double run = 0.5 * (p.length_mm - std::numbers::pi * radius + p.moving.x);
  for (int i = 0; i <= segments; ++i) {
    const double s = p.length_mm * i / segments;
    const double a = std::clamp((s - run) / radius, 0.0, std::numbers::pi);
    start.push_back({std::min(s, run) + radius * std::sin(a) -
                         std::max(0.0, s - run - std::numbers::pi * radius),
                     0.0, radius - radius * std::cos(a)});
  }
  rod::SpatialRodSolver solver(segments);
  RodFigures figures;
  if (!solver.solve_from(start, r, {.most_iterations = 600}).converged()) return figures;
  figures.converged = true;
  for (const Vec3& q : solver.points()) {
    figures.front_mm = std::max(figures.front_mm, q.x);
    figures.farthest_mm = std::max(figures.farthest_mm, distance_to(shape.points, {q.x, q.z}));
  }
  figures.pull_N = std::abs(solver.figures().end_force_N.x);
  return figures;
}

ChainShapeProblem raised() {
  return {.length_mm = 700,
          .bend_radius_mm = 60,
          .back_radius_mm = {},
          .pitch_mm = 20,
          .outer_height_mm = 28,
          .moving = {-260, 140},
          .mass_kg_per_m = 1.0};
}

/// The shape must not depend on the stiffness, the forces only by the discretisation: with 560
/// segments and 1e-3 N m2 the rod turns from one stop to the other over several segments, with
/// 1e-4 N m2 over about one, which costs its force some percent.
void expect_same_shape(const ChainShapeProblem& p) {
  const ChainShape shape = solve_chain_shape(p);
  ASSERT_TRUE(shape.converged()) << shape.problem;
  const RodFigures soft = rod_of(p, shape, 1e-4, 280);
  const RodFigures stiff = rod_of(p, shape, 1e-3, 560);
  ASSERT_TRUE(soft.converged && stiff.converged);
  EXPECT_NEAR(soft.front_mm, shape.front_mm, 0.01);
  EXPECT_NEAR(stiff.front_mm, shape.front_mm, 0.005);
  EXPECT_LT(soft.farthest_mm, 0.1);  // chords of 5 deg lie 0.06 mm inside the bend
  EXPECT_LT(stiff.farthest_mm, 0.1);
  EXPECT_NEAR(stiff.pull_N, shape.pull_N, 0.005 * shape.pull_N);
  EXPECT_NEAR(soft.pull_N, shape.pull_N, 0.05 * shape.pull_N);
}

TEST(ChainShapeRod, ARaisedLoop) {
  expect_same_shape(raised());
}

TEST(ChainShapeRod, ARunThatSagsAtItsStops) {
  ChainShapeProblem p = raised();
  p.moving.y = 124;
  p.back_radius_mm = 3000;
  ASSERT_GT(solve_chain_shape(p).sag_mm, 5.0);
  expect_same_shape(p);
}

TEST(ChainShapeRod, ALowerRunThatSticksOut) {
  ChainShapeProblem p = raised();
  p.moving.y = 124;
  p.back_radius_mm = 3000;
  p.tray = false;
  expect_same_shape(p);
}

TEST(ChainShapeRod, ALoopThatIsRaisedMuchMore) {
  ChainShapeProblem p = raised();
  p.moving.y = 200;
  expect_same_shape(p);
}

}  // namespace
}  // namespace bight::chain
