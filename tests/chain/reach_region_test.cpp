#include "chain/reach_region.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include "chain/chain_shape.h"
#include "chain/loop.h"

namespace bight::chain {
namespace {

using std::numbers::pi;

double between(std::mt19937& random, double low, double high) {
  return low + (high - low) * static_cast<double>(random()) / 4294967296.0;
}

/// How far a point lies outside a piece with the moving pin at x_M; 0 inside.
double outside(const ReachPiece& piece, double moving, const Vec2& point) {
  const Vec2 q = point - Vec2(piece.rate * moving, 0.0);
  double beyond = 0.0;
  for (std::size_t i = 0; i < piece.outline.size(); ++i) {
    const Vec2& a = piece.outline[i];
    const Vec2 d = piece.outline[(i + 1) % piece.outline.size()] - a;
    if (!(glm::length(d) > 1e-6)) continue;
    beyond = std::max(beyond, (d.y * (q.x - a.x) - d.x * (q.y - a.y)) / glm::length(d));
  }
  return beyond;
}

double outside(const std::vector<ReachPiece>& pieces, double moving, const Vec2& point) {
  double least = 1e9;
  for (const ReachPiece& piece : pieces) {
    if (moving < piece.moving_mm[0] || moving > piece.moving_mm[1]) continue;
    least = std::min(least, outside(piece, moving, point));
  }
  return least;
}

/// Extent of the region in a direction with the moving pin at x_M.
double extent(const std::vector<ReachPiece>& pieces, double moving, const Vec2& direction) {
  double most = -1e9;
  for (const ReachPiece& piece : pieces) {
    if (moving < piece.moving_mm[0] || moving > piece.moving_mm[1]) continue;
    for (const Vec2& p : piece.outline) {
      most = std::max(most, glm::dot(direction, p + Vec2(piece.rate * moving, 0.0)));
    }
  }
  return most;
}

/// Pins of a chain of rigid links drawn at random: stretches in which every joint is at a stop, or
/// turns by any amount, always so that the moving bracket's direction can still be reached.
std::vector<Vec2> random_links(std::mt19937& random, const ReachProblem& p) {
  const double fold = 2.0 * std::asin(0.5 * p.pitch_mm / p.bend_radius_mm);
  const double back = p.back_radius_mm ? 2.0 * std::asin(0.5 * p.pitch_mm / *p.back_radius_mm) : 0;
  std::vector<Vec2> pins{{0.0, 0.0}};
  double direction = 0.0;
  int mode = 0;
  int left = 0;
  for (int k = 1; k <= p.links; ++k) {
    if (left-- <= 0) {
      mode = static_cast<int>(random() % 4);
      left = static_cast<int>(random() % 12);
    }
    const double wanted = mode == 0   ? direction + fold
                          : mode == 1 ? direction - back
                          : mode == 2 ? direction
                                      : direction + between(random, -back, fold);
    const double joints_left = p.links + 1 - k;
    const double low = std::max(direction - back, pi - joints_left * fold);
    const double high = std::min(direction + fold, pi + joints_left * back);
    direction = std::clamp(wanted, low, std::max(low, high));
    pins.push_back(pins.back() + p.pitch_mm * Vec2(std::cos(direction), std::sin(direction)));
  }
  return pins;
}

TEST(ReachRegion, HoldsEveryChainOfRigidLinksThatKeepsItsStops) {
  std::mt19937 random(5);
  int chains = 0;
  int behind = 0;
  int bent_back = 0;
  for (int i = 0; i < 3000; ++i) {
    ReachProblem p{.links = 10 + static_cast<int>(random() % 60),
                   .pitch_mm = between(random, 10.0, 40.0),
                   .bend_radius_mm = between(random, 30.0, 120.0),
                   .half_thickness_mm = 0.0};
    if (p.links * 2.0 * std::asin(0.5 * p.pitch_mm / p.bend_radius_mm) < 1.2 * pi) continue;
    if (random() % 2 == 0) p.back_radius_mm = between(random, 0.8, 60.0) * p.bend_radius_mm;
    const std::vector<Vec2> pins = random_links(random, p);
    const Vec2 moving = pins.back();
    if (!(moving.y > 1.0)) continue;  // loop coordinates count y from the fixed run to the moving
    p.height_mm = moving.y;
    p.moving_mm = {moving.x - between(random, 0.0, 300.0), moving.x + between(random, 0.0, 300.0)};
    const std::vector<ReachPiece> pieces = reach_pieces(p);
    ASSERT_FALSE(pieces.empty());
    for (const Vec2& pin : pins) {
      ASSERT_LE(outside(pieces, moving.x, pin), 1e-6) << i << ": " << pin.x << ' ' << pin.y;
    }
    ++chains;
    behind += moving.x < 0.0 ? 1 : 0;
    bent_back += std::any_of(pins.begin(), pins.end(),
                             [&](const Vec2& q) { return q.y < -1.0 || q.y > p.height_mm + 1.0; })
                     ? 1
                     : 0;
  }
  EXPECT_GT(chains, 1000);
  EXPECT_GT(behind, 200);
  EXPECT_GT(bent_back, 200);
}

// Straight run, half circle of links at their stops, straight run: no chain gets farther forward.
TEST(ReachRegion, TheFrontIsThatOfTheIdealLoop) {
  for (const double height : {120.0, 160.0, 300.0}) {
    const ReachProblem p{.links = 60,
                         .pitch_mm = 20.0,
                         .bend_radius_mm = 60.0,
                         .back_radius_mm = {},
                         .height_mm = height,
                         .moving_mm = {-400.0, 400.0},
                         .half_thickness_mm = 14.0};
    const std::vector<ReachPiece> pieces = reach_pieces(p);
    for (const double x : {-400.0, -133.0, 0.0, 250.0, 400.0}) {
      // (L + x) / 2 - (pi / 2 - 1) R, whatever the height (derived; common practice at 2 R).
      const double front = 0.5 * (1200.0 + x) - (0.5 * pi - 1.0) * 60.0;
      EXPECT_GE(extent(pieces, x, {1.0, 0.0}), front + 14.0 - 1e-6);
      // Links turn along a polygon: a little shorter a turn than the half circle.
      EXPECT_LE(extent(pieces, x, {1.0, 0.0}), front + 14.0 + 2.0);
    }
  }
}

TEST(ReachRegion, WithoutABackBendNoLinkLeavesTheStripBetweenTheRuns) {
  const ReachProblem p{.links = 60,
                       .pitch_mm = 20.0,
                       .bend_radius_mm = 60.0,
                       .back_radius_mm = {},
                       .height_mm = 160.0,
                       .moving_mm = {-300.0, 500.0},
                       .half_thickness_mm = 14.0};
  const std::vector<ReachPiece> pieces = reach_pieces(p);
  for (const double x : {-300.0, -20.0, 0.0, 100.0, 500.0}) {
    EXPECT_NEAR(extent(pieces, x, {0.0, -1.0}), 14.0, 1e-6);
    EXPECT_NEAR(extent(pieces, x, {0.0, 1.0}), 174.0, 1e-6);
    // Not behind the bracket that is farther back, but for the part of the travel that is held at
    // once.
    EXPECT_LE(extent(pieces, x, {-1.0, 0.0}), std::max(0.0, -x) + 14.0 + 62.0);
  }
}

TEST(ReachRegion, ATrayKeepsALowerRunUpThatWouldReachBelowIt) {
  ReachProblem p{.links = 60,
                 .pitch_mm = 20.0,
                 .bend_radius_mm = 60.0,
                 .back_radius_mm = 2000.0,
                 .height_mm = 160.0,
                 .moving_mm = {-300.0, 300.0},
                 .half_thickness_mm = 14.0};
  EXPECT_GT(extent(reach_pieces(p), 0.0, {0.0, -1.0}), 50.0);
  p.least_y_mm = 0.0;
  EXPECT_NEAR(extent(reach_pieces(p), 0.0, {0.0, -1.0}), 14.0, 1e-6);
  p.greatest_y_mm = 160.0;
  EXPECT_NEAR(extent(reach_pieces(p), 0.0, {0.0, 1.0}), 174.0, 1e-6);
}

// Pulled nearly straight, the ellipse of all lines of that length between the brackets is narrow.
TEST(ReachRegion, AChainPulledTightStaysNearTheLineBetweenItsBrackets) {
  const ReachProblem p{.links = 40,
                       .pitch_mm = 20.0,
                       .bend_radius_mm = 30.0,
                       .back_radius_mm = 40.0,
                       .height_mm = 780.0,
                       .moving_mm = {0.0, 0.0},
                       .half_thickness_mm = 0.0};
  // Half the short axis: sqrt(L^2 - d^2) / 2 (elementary geometry).
  const double half = 0.5 * std::sqrt(800.0 * 800.0 - 780.0 * 780.0);
  EXPECT_LE(extent(reach_pieces(p), 0.0, {1.0, 0.0}), half + 1e-6);
  EXPECT_LE(extent(reach_pieces(p), 0.0, {-1.0, 0.0}), half + 1e-6);
}

TEST(ReachRegion, HoldsTheSimulatedShapes) {
  std::mt19937 random(17);
  int lying = 0;
  int hanging = 0;
  for (int i = 0; i < 300; ++i) {
    ChainShapeProblem c;
    c.bend_radius_mm = between(random, 30.0, 120.0);
    c.pitch_mm = between(random, 0.2, 0.5) * c.bend_radius_mm;
    c.outer_height_mm = 0.4 * c.bend_radius_mm;
    c.moving = {between(random, -400.0, 400.0),
                2.0 * c.bend_radius_mm + between(random, 0.05, 2.0) * c.bend_radius_mm};
    const double least =
        std::abs(c.moving.x) + pi * c.bend_radius_mm + c.moving.y - 2.0 * c.bend_radius_mm;
    const int links =
        static_cast<int>(std::ceil((least + between(random, 40.0, 600.0)) / c.pitch_mm));
    c.length_mm = links * c.pitch_mm;
    c.mass_kg_per_m = 1.0;
    if (random() % 2 == 0) c.back_radius_mm = between(random, 10.0, 60.0) * c.bend_radius_mm;
    const bool hangs = random() % 3 == 0;
    c.tray = !hangs && random() % 2 == 0;
    if (hangs) c.gravity = {1.0, 0.0};
    const ChainShape shape = solve_chain_shape(c);
    if (!shape.converged()) continue;
    ReachProblem p{.links = links,
                   .pitch_mm = c.pitch_mm,
                   .bend_radius_mm = c.bend_radius_mm,
                   .back_radius_mm = c.back_radius_mm,
                   .height_mm = c.moving.y,
                   .moving_mm = {c.moving.x - 50.0, c.moving.x + 30.0},
                   .half_thickness_mm = 0.0};
    if (c.tray) p.least_y_mm = 0.0;
    const std::vector<ReachPiece> pieces = reach_pieces(p);
    // A smooth pitch line bulges over the links by up to pitch^2 / (8 R).
    const double bulge = c.pitch_mm * c.pitch_mm / (8.0 * c.bend_radius_mm);
    for (const Vec2& q : shape.points) {
      ASSERT_LE(outside(pieces, c.moving.x, q), bulge + 0.01) << i << ": " << q.x << ' ' << q.y;
    }
    ++(hangs ? hanging : lying);
  }
  EXPECT_GT(lying, 80);
  EXPECT_GT(hanging, 40);
}

TEST(ReachRegion, WhatIsNoChainHasNoPieces) {
  const ReachProblem good{.links = 60,
                          .pitch_mm = 20.0,
                          .bend_radius_mm = 60.0,
                          .back_radius_mm = {},
                          .height_mm = 160.0,
                          .moving_mm = {-300.0, 300.0},
                          .half_thickness_mm = 14.0};
  EXPECT_FALSE(reach_pieces(good).empty());
  ReachProblem p = good;
  p.links = k_reach_links_limit + 1;
  EXPECT_TRUE(reach_pieces(p).empty());
  p = good;
  p.bend_radius_mm = std::nan("");
  EXPECT_TRUE(reach_pieces(p).empty());
  p = good;
  p.moving_mm = {1.0, 0.0};
  EXPECT_TRUE(reach_pieces(p).empty());
}

}  // namespace
}  // namespace bight::chain
