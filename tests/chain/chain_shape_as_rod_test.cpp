// Chains that no known arrangement of pieces fits: solved as rods between the stops. They are held
// to what any chain must keep (stops, tray, balance of all forces), and, where pieces are known,
// to these.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include "base/tolerance.h"
#include "chain/chain_shape.h"
#include "chain/chain_shape_detail.h"
#include "chain/chain_shape_travel.h"

namespace bight::chain {
namespace {

using std::numbers::pi;

double between(std::mt19937& random, double low, double high) {
  return low + (high - low) * static_cast<double>(random()) / 4294967296.0;
}

/// Raised by up to 3 R, with and without a tray, held straight or not, lying or hanging aslant.
ChainShapeProblem random_raised(std::mt19937& random, double aslant) {
  ChainShapeProblem p;
  p.bend_radius_mm = between(random, 30.0, 120.0);
  p.pitch_mm = between(random, 12.0, 35.0);
  p.outer_height_mm = between(random, 15.0, 45.0);
  const double raise = between(random, 0.0, 3.0) * p.bend_radius_mm;
  p.moving = {between(random, -400.0, 400.0), 2.0 * p.bend_radius_mm + raise};
  const double length = std::abs(p.moving.x) + pi * p.bend_radius_mm + raise;
  p.length_mm = std::ceil((length + between(random, 40.0, 600.0)) / p.pitch_mm) * p.pitch_mm;
  p.mass_kg_per_m = between(random, 0.3, 3.0);
  if (random() % 2 == 0) p.back_radius_mm = between(random, 10.0, 60.0) * p.bend_radius_mm;
  p.tray = aslant == 0.0 && random() % 2 == 0;
  p.gravity = {std::sin(aslant), -std::cos(aslant)};
  return p;
}

/// Turn from segment to segment over the turn that the stops allow; 1: at a stop.
void expect_within_stops(const ChainShapeProblem& p, const ChainShape& shape) {
  const double back = p.back_radius_mm ? 1.0 / *p.back_radius_mm : 0.0;
  const double l = p.length_mm / static_cast<double>(shape.points.size() - 1);
  for (std::size_t i = 1; i + 1 < shape.points.size(); ++i) {
    const Vec2 a = shape.points[i] - shape.points[i - 1];
    const Vec2 b = shape.points[i + 1] - shape.points[i];
    EXPECT_NEAR(glm::length(a), l, 1e-4 * l);
    const double turn = std::atan2(a.x * b.y - a.y * b.x, glm::dot(a, b));
    EXPECT_LE(turn, 2.0 * std::atan(0.5 * l / p.bend_radius_mm) + 1e-4);
    EXPECT_GE(turn, -2.0 * std::atan(0.5 * l * back) - 1e-4);
  }
  if (!p.tray) return;
  for (const Vec2& q : shape.points) EXPECT_GE(q.y, -1e-3);
}

TEST(ChainShapeAsRod, ThirtyChainsThatPiecesDoNotFitKeepTheirStopsAndBalance) {
  std::mt19937 random(31);
  int solved = 0;
  int refused = 0;
  for (int i = 0; i < 60 && solved < 30; ++i) {
    const ChainShapeProblem p = random_raised(random, between(random, 0.9, 1.4));
    const ChainShape shape = solve_chain_shape(p);
    if (!shape.converged()) {
      ++refused;
      EXPECT_FALSE(shape.problem.empty());
      continue;
    }
    ++solved;
    EXPECT_TRUE(shape.by_rod);
    expect_within_stops(p, shape);
    EXPECT_LT(glm::length(shape.points.front()), 1e-6);
    EXPECT_LT(glm::distance(shape.points.back(), p.moving), 1e-3);
    EXPECT_GE(shape.smallest_radius_mm, 0.999 * p.bend_radius_mm);
    const double weight = p.mass_kg_per_m * k_gravity / 1000.0 * p.length_mm;
    const Vec2 left = shape.fixed_force_N + shape.moving_force_N + weight * p.gravity;
    EXPECT_LT(glm::length(left), 1e-4 * weight) << i;
  }
  EXPECT_EQ(solved, 30);
  EXPECT_LE(refused, 4);
}

// What nearly all raised chains over a tray or sticking out are made of is known, also where they
// are pulled steeply up: lower run, fold, run, fold at the bracket.
TEST(ChainShapeAsRod, RaisedChainsThatLieAreNearlyAllMadeOfKnownPieces) {
  std::mt19937 random(31);
  int pieces = 0;
  int rods = 0;
  for (int i = 0; i < 600; ++i) {
    const ChainShape shape = solve_chain_shape(random_raised(random, 0.0));
    if (!shape.converged()) continue;
    ++(shape.by_rod ? rods : pieces);
  }
  EXPECT_GT(pieces, 400);
  EXPECT_LE(rods, pieces / 50);
}

// Where pieces are known, which are exact, the rod is off by no more than it says: lengths and
// forces, lying with and without a tray, hanging, up to 3 R raised.
TEST(ChainShapeAsRod, IsOffByNoMoreThanItSays) {
  std::mt19937 random(77);
  int lying = 0;
  int hanging = 0;
  double told_mm = 0.0;
  double told_share = 0.0;
  for (int i = 0; i < 300 && lying + hanging < 45; ++i) {
    ChainShapeProblem p = random_raised(random, 0.0);
    const bool hangs = i % 3 == 2;
    if (hangs) {
      p.gravity = {1.0, 0.0};
      p.tray = false;
    }
    const ChainShape pieces = solve_chain_shape(p);
    if (!pieces.converged() || pieces.by_rod) continue;
    EXPECT_EQ(pieces.error_mm, 0.0);
    ChainShape rod;
    ASSERT_TRUE(shape_detail::solve_as_rod(p, rod)) << i << rod.problem;
    EXPECT_LE(std::abs(rod.front_mm - pieces.front_mm), rod.error_mm) << i;
    EXPECT_LE(std::abs(rod.sag_mm - pieces.sag_mm), rod.error_mm) << i;
    EXPECT_LE(glm::distance(rod.moving_force_N, pieces.moving_force_N), rod.error_N) << i;
    EXPECT_LE(glm::distance(rod.fixed_force_N, pieces.fixed_force_N), rod.error_N) << i;
    const double weight = p.mass_kg_per_m * k_gravity / 1000.0 * p.length_mm;
    told_mm = std::max(told_mm, rod.error_mm);
    told_share = std::max(told_share, rod.error_N / weight);
    ++(hangs ? hanging : lying);
  }
  EXPECT_GT(lying, 20);
  EXPECT_GT(hanging, 10);
  EXPECT_LT(told_mm, 2.0);
  EXPECT_LT(told_share, 0.03);
}

// Tilting the loop's plane from plumb changes its shape without a jump: pieces at plumb, a rod
// beside it.
TEST(ChainShapeAsRod, NearPlumbItIsTheLoopThatHangsPlumb) {
  ChainShapeProblem p{.length_mm = 900,
                      .bend_radius_mm = 60,
                      .back_radius_mm = 900,
                      .pitch_mm = 20,
                      .outer_height_mm = 28,
                      .moving = {40, 120},
                      .mass_kg_per_m = 1.0};
  p.tray = false;
  p.gravity = {1.0, 0.0};
  const ChainShape plumb = solve_chain_shape(p);
  ASSERT_TRUE(plumb.converged() && !plumb.by_rod);
  p.gravity = {std::cos(0.002), -std::sin(0.002)};
  const ChainShape aslant = solve_chain_shape(p);
  ASSERT_TRUE(aslant.converged()) << aslant.problem;
  EXPECT_TRUE(aslant.by_rod);
  EXPECT_NEAR(aslant.front_mm, plumb.front_mm, 0.1 * p.pitch_mm);
  EXPECT_NEAR(aslant.moving_force_N.x, plumb.moving_force_N.x,
              0.02 * std::abs(plumb.moving_force_N.x));
}

TEST(ChainShapeAsRod, OverATravelItTakesFewPoses) {
  std::mt19937 random(31);
  const ChainShapeProblem p = random_raised(random, 1.2);
  ASSERT_TRUE(solve_chain_shape(p).by_rod);
  const ChainShapeTravel travel = chain_shapes(p, {p.moving.x - 1.0, p.moving.x + 1.0});
  EXPECT_LE(travel.poses.size(), 40U);
}

}  // namespace
}  // namespace bight::chain
