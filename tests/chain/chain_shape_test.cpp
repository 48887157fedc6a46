#include "chain/chain_shape.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>
#include <random>

#include "base/tolerance.h"
#include "chain/loop.h"
#include "chain/span.h"
#include "rod/catenary.h"

namespace bight::chain {
namespace {

using std::numbers::pi;

ChainShapeProblem lying(double length, double radius, const Vec2& moving) {
  return {.length_mm = length,
          .bend_radius_mm = radius,
          .back_radius_mm = {},
          .pitch_mm = radius / 3.0,
          .outer_height_mm = 0.5 * radius,
          .moving = moving,
          .mass_kg_per_m = 1.3};
}

double weight_N(const ChainShapeProblem& p) {
  return p.mass_kg_per_m * k_gravity / 1000.0;
}

double cross(const Vec2& a, const Vec2& b) {
  return a.x * b.y - a.y * b.x;
}

/// Three points give the circle through them: counter-clockwise positive.
double curvature(const Vec2& a, const Vec2& b, const Vec2& c) {
  return 2.0 * cross(b - a, c - b) / (glm::length(b - a) * glm::length(c - b) * glm::length(c - a));
}

/// A chain with stops and brackets drawn at random: mounted 2 R apart or up to 6 R, with or without
/// a tray, with straight or sagging stops, above or below.
ChainShapeProblem random_chain(std::mt19937& random) {
  const auto draw = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  const double radius = draw(30.0, 200.0);
  const bool level = draw(0.0, 1.0) < 0.6;
  const double height = level ? 2.0 * radius : draw(2.2, 6.0) * radius;
  const double travel = draw(200.0, 2000.0);
  const double x = draw(-0.5, 0.5) * travel;
  const double length =
      0.5 * travel + pi * radius + 1.5 * (height - 2.0 * radius) + draw(1.0, 300.0);
  ChainShapeProblem p = lying(length, radius, {x, height});
  if (draw(0.0, 1.0) < 0.6) p.back_radius_mm = draw(1000.0, 20000.0);
  p.tray = draw(0.0, 1.0) < 0.7;
  if (draw(0.0, 1.0) < 0.3) p.gravity.y = 1.0;
  return p;
}

TEST(ChainShape, ALevelRunHasTheForcesOfStatics) {
  // Pull w R, floor force w l/2 + pi R w, no sag: derived for one-way joints, chain/span.h.
  const ChainShapeProblem p = lying(660, 60, {-400, 120});
  const ChainShape shape = solve_chain_shape(p);
  ASSERT_TRUE(shape.converged()) << shape.problem;
  LoopProblem loop;
  loop.bend_radius_mm = 60;
  const LoopPose ideal = loop_at(loop, 660, -400);
  const RunForces forces = run_forces(p.mass_kg_per_m, ideal.moving_run_mm, 60);
  EXPECT_NEAR(shape.pull_N, forces.pull_N, 1e-9);
  EXPECT_NEAR(shape.floor_force_N, forces.floor_force_N, 1e-9);
  EXPECT_NEAR(shape.moving_force_N.y, forces.end_load_N, 1e-9);
  EXPECT_NEAR(shape.sag_mm, 0.0, 1e-9);
  EXPECT_NEAR(shape.gap_mm, 120.0, 1e-9);
  EXPECT_NEAR(shape.front_mm, ideal.front_mm, 1e-9);
  EXPECT_NEAR(strays_from_loop(p, shape), 0.0, 1e-9);
  EXPECT_EQ(shape.smallest_radius_mm, 60.0);
  EXPECT_EQ(shape.moving_moment_Nmm, 0.0);
}

TEST(ChainShape, ARaisedBracketTiltsTheRunAsTheClosedFormSays) {
  // hc = 140, R = 60, x_M = 0, x_F = 260, L = 700: tilt 2.958063 deg, run 389.10844, arc 185.39788,
  // lower run 125.49368, front 445.49368 - 260 (elementary geometry, worked out by hand).
  const ChainShape shape = solve_chain_shape(lying(700, 60, {-260, 140}));
  ASSERT_TRUE(shape.converged()) << shape.problem;
  ASSERT_EQ(shape.pieces.size(), 3U);
  EXPECT_NEAR(shape.pieces[0].length_mm, 125.49368, 5.01e-6);
  EXPECT_NEAR(shape.pieces[1].length_mm, 185.39788, 5.01e-6);
  EXPECT_NEAR(shape.pieces[2].length_mm, 389.10844, 5.01e-6);
  EXPECT_NEAR(shape.front_mm, 185.49368, 5.01e-6);
  EXPECT_NEAR(shape.sag_mm, 0.0, 1e-9);
}

TEST(ChainShape, RaisedLoopsAgreeWithTheClosedForm) {
  for (double height = 125; height <= 260; height += 15) {
    for (double x = -300; x <= 300; x += 100) {
      const ChainShape shape = solve_chain_shape(lying(900, 60, {x, height}));
      LoopProblem loop;
      loop.moving_mm = {x, x};
      loop.bend_radius_mm = 60;
      loop.pitch_mm = 20;
      const RaisedLoop raised = raised_loop(loop, 900, x, height);
      ASSERT_TRUE(shape.converged() && raised.possible) << height << ' ' << x;
      if (raised.tilt > 20.0 / 60.0) continue;  // the bracket's joint alone does not turn so far
      EXPECT_NEAR(shape.front_mm, raised.front_mm, 1e-6);
      EXPECT_NEAR(shape.pieces[2].length_mm, raised.moving_run_mm, 1e-6);
    }
  }
}

TEST(ChainShape, SteeperThanItsBracketJointTurnsItAlsoFoldsThere) {
  const ChainShapeProblem p = lying(1200, 60, {-260, 600});
  const ChainShape shape = solve_chain_shape(p);
  ASSERT_TRUE(shape.converged()) << shape.problem;
  ASSERT_EQ(shape.pieces.size(), 4U);
  EXPECT_GT(shape.moving_moment_Nmm, 0.0);
  // All folds and the bracket's joint (pitch / R) share the half turn.
  EXPECT_NEAR((shape.pieces[1].length_mm + shape.pieces[3].length_mm) / 60.0 + 20.0 / 60.0, pi,
              1e-9);
}

/// Three points give the circle through them; across a joint of two pieces its curvature lies
/// between theirs.
void expect_within_stops(const ChainShapeProblem& p, const ChainShape& shape, int chain) {
  const double back = p.back_radius_mm ? 1.0 / *p.back_radius_mm : 0.0;
  for (std::size_t k = 0; k + 2 < shape.points.size(); ++k) {
    if (!(glm::distance(shape.points[k], shape.points[k + 1]) > 1e-3)) continue;
    if (!(glm::distance(shape.points[k + 1], shape.points[k + 2]) > 1e-3)) continue;
    const double c = curvature(shape.points[k], shape.points[k + 1], shape.points[k + 2]);
    EXPECT_GE(c, -back - 1e-8) << chain;
    EXPECT_LE(c, 1.0 / p.bend_radius_mm * (1.0 + 1e-6)) << chain;
  }
  EXPECT_GE(shape.smallest_radius_mm, p.bend_radius_mm * (1.0 - 1e-6)) << chain;
  double length = 0.0;
  for (const ChainShapePiece& piece : shape.pieces) {
    EXPECT_GE(piece.length_mm, -1e-6);
    length += piece.length_mm;
  }
  EXPECT_NEAR(length, p.length_mm, 1e-8);
  EXPECT_NEAR(glm::distance(shape.points.front(), Vec2(0.0)), 0.0, 1e-8);
  EXPECT_NEAR(glm::distance(shape.points.back(), p.moving), 0.0, 1e-6);
}

TEST(ChainShape, ThirtyRandomChainsKeepAllTheirStops) {
  std::mt19937 random(7);
  int solved = 0;
  int sagging = 0;
  for (int i = 0; i < 200 && solved < 30; ++i) {
    const ChainShapeProblem p = random_chain(random);
    const ChainShape shape = solve_chain_shape(p);
    if (!shape.converged()) continue;
    ++solved;
    sagging += shape.sag_mm > 1.0 ? 1 : 0;
    expect_within_stops(p, shape, i);
  }
  EXPECT_EQ(solved, 30);
  EXPECT_GE(sagging, 5);
}

// Hanging plumb, of any width from 2 R on, and on their side, where runs must lie 2 R apart: the
// same stops. (Hanging aslant: chain_shape_as_rod_test.)
TEST(ChainShape, ThirtyRandomChainsThatHangOrLieOnTheirSideKeepAllTheirStops) {
  std::mt19937 random(19);
  int hanging = 0;
  int wide = 0;
  int on_side = 0;
  for (int i = 0; i < 400 && hanging + on_side < 60; ++i) {
    ChainShapeProblem p = random_chain(random);
    const bool hangs = i % 2 == 0;
    p.gravity = hangs ? Vec2(1.0, 0.0) : Vec2(0.0, 0.0);
    if (!hangs) p.moving.y = 2.0 * p.bend_radius_mm;
    const ChainShape shape = solve_chain_shape(p);
    if (!shape.has_shape() || shape.by_rod) continue;
    expect_within_stops(p, shape, i);
    ++(hangs ? hanging : on_side);
    wide += hangs && p.moving.y > 2.1 * p.bend_radius_mm ? 1 : 0;
  }
  EXPECT_GE(hanging, 25);
  EXPECT_GE(wide, 8);
  EXPECT_GE(on_side, 25);
}

/// Weight and its moment about the fixed pin, by fine chords through arcs rebuilt from the pieces.
struct Weight {
  Vec2 force{0.0};
  double moment = 0.0;
};
Weight weight_of(const ChainShapeProblem& p, const ChainShape& shape) {
  Weight sum;
  Vec2 at = shape.points.front();
  double angle = 0.0;
  // The first tangent from the first chord: it is turned against it by half the arc.
  const Vec2 chord = shape.points[1] - shape.points[0];
  const double bend = shape.pieces[0].curvature_per_mm;
  const double half = 0.5 * bend * glm::length(chord);
  const double step = bend == 0.0 ? 0.0 : 2.0 / bend * std::asin(half);
  angle = std::atan2(chord.y, chord.x) - 0.5 * bend * step;
  for (const ChainShapePiece& piece : shape.pieces) {
    constexpr int k_steps = 4000;
    const double h = piece.length_mm / k_steps;
    for (int i = 0; i < k_steps; ++i) {
      const double middle = angle + 0.5 * piece.curvature_per_mm * h;
      const Vec2 next = at + h * Vec2(std::cos(middle), std::sin(middle));
      const Vec2 part = weight_N(p) * h * p.gravity;
      sum.force += part;
      sum.moment += cross(0.5 * (at + next) - shape.points.front(), part);
      angle += piece.curvature_per_mm * h;
      at = next;
    }
  }
  EXPECT_NEAR(glm::distance(at, shape.points.back()), 0.0, 1e-4);
  return sum;
}

TEST(ChainShape, BracketsAndTrayBalanceTheWeight) {
  std::mt19937 random(11);
  int solved = 0;
  int moments = 0;
  for (int i = 0; i < 100 && solved < 30; ++i) {
    ChainShapeProblem p = random_chain(random);
    const ChainShape shape = solve_chain_shape(p);
    if (!shape.converged() || shape.by_rod) continue;  // of pieces: their forces are exact
    ++solved;
    const Weight weight = weight_of(p, shape);
    const double up = p.gravity.y < 0.0 ? 1.0 : -1.0;
    const Vec2 left = weight.force + shape.fixed_force_N + shape.moving_force_N +
                      Vec2(0.0, up * shape.tray_force_N);
    const double total = weight_N(p) * p.length_mm;
    EXPECT_NEAR(left.x, 0.0, 1e-9 * total) << i;
    EXPECT_NEAR(left.y, 0.0, 1e-9 * total) << i;
    EXPECT_GE(shape.floor_force_N, 0.0);
    // Without a tray the moments balance, too: the lower end's moment holds the chain up.
    if (p.tray) continue;
    // Both brackets then turn the same way: against sagging at the low end, folding at the high.
    const double moment = weight.moment + cross(p.moving, shape.moving_force_N);
    const double held = shape.fixed_moment_Nmm + shape.moving_moment_Nmm;
    EXPECT_NEAR(std::abs(moment), held, 1e-6 * total * p.length_mm) << i;
    ++moments;
  }
  EXPECT_EQ(solved, 30);
  EXPECT_GE(moments, 5);
}

// First integral of a planar rod with piecewise constant curvature: M k + H cos t + V sin t - w y
// is the same all along (elementary; Love, 1927, gives it for elastic rods). Between lift-off and
// bracket, both without moment: H (1 + cos t) = V sin t + w h with the tilt t of the run.
TEST(ChainShape, ThePullFollowsFromTheFirstIntegral) {
  for (const double back : {900.0, 2500.0, 1e5}) {
    for (double x = -500; x <= 300; x += 50) {
      ChainShapeProblem p = lying(900, 60, {x, 120});
      p.back_radius_mm = back;
      const ChainShape shape = solve_chain_shape(p);
      ASSERT_TRUE(shape.converged()) << shape.problem;
      if (shape.moving_moment_Nmm > 0.0) continue;
      double turned = 0.0;
      for (const ChainShapePiece& piece : shape.pieces) {
        turned += piece.curvature_per_mm * piece.length_mm;
      }
      const double tilt = pi - turned;
      // Lying on itself, the same holds from lift-off to where it comes down, h high.
      const double expected =
          shape.on_itself_mm > 0.0
              ? 0.5 * weight_N(p) * p.outer_height_mm
              : (weight_N(p) * 120.0 - shape.moving_force_N.y * std::sin(tilt)) /
                    (1.0 + std::cos(tilt));
      EXPECT_NEAR(shape.pull_N, expected, 1e-9) << back << ' ' << x;
    }
  }
}

TEST(ChainShape, AFlatSagIsThatOfAnArc) {
  // Sag of an arc of radius r over a run l: l^2 / (8 r), to the square of the slope.
  ChainShapeProblem p = lying(1400, 60, {-700, 120});
  p.back_radius_mm = 50000.0;
  const ChainShape shape = solve_chain_shape(p);
  ASSERT_TRUE(shape.converged());
  const double run = shape.pieces[2].length_mm;
  // The bend's top lies on the run's chord only up to the tilt times R; that is a percent here.
  EXPECT_NEAR(shape.sag_mm, run * run / (8.0 * 50000.0), 0.02 * shape.sag_mm);
}

TEST(ChainShape, ASaggingRunComesDownOnTheLowerOneAndStaysOnIt) {
  ChainShapeProblem p = lying(1400, 60, {0, 120});
  p.back_radius_mm = 900.0;
  double last_gap = std::numeric_limits<double>::infinity();
  double last_lying = 0.0;
  int free_poses = 0;
  int lying_poses = 0;
  for (double x = 600; x >= -800; x -= 2) {
    p.moving.x = x;
    const ChainShape shape = solve_chain_shape(p);
    ASSERT_TRUE(shape.converged()) << x << ": " << shape.problem;
    EXPECT_GE(shape.gap_mm, p.outer_height_mm - 1e-9);
    EXPECT_LE(shape.gap_mm, last_gap + 1e-9);  // a longer run hangs lower
    EXPECT_GE(shape.on_itself_mm, last_lying);
    if (shape.on_itself_mm > 0.0) {
      // Coming down is no jump: just before, the gap was nearly used up.
      if (lying_poses == 0) {
        EXPECT_LT(last_gap, p.outer_height_mm + 2.0);
      }
      EXPECT_NEAR(shape.gap_mm, p.outer_height_mm, 1e-9);
      ++lying_poses;
    } else {
      ++free_poses;
    }
    last_gap = shape.gap_mm;
    last_lying = shape.on_itself_mm;
  }
  EXPECT_GT(free_poses, 100);
  EXPECT_GT(lying_poses, 100);
}

TEST(ChainShape, TurnedOverItIsTheSameChainSeenFromItsOtherEnd) {
  ChainShapeProblem p = lying(900, 60, {-200, 120});
  p.back_radius_mm = 3000.0;
  ChainShapeProblem over = p;
  over.moving.x = 200;
  over.gravity.y = 1.0;
  const ChainShape a = solve_chain_shape(p);
  const ChainShape b = solve_chain_shape(over);
  ASSERT_TRUE(a.converged() && b.converged());
  ASSERT_EQ(a.points.size(), b.points.size());
  for (std::size_t i = 0; i < a.points.size(); ++i) {
    const Vec2 q = b.points[b.points.size() - 1 - i];
    EXPECT_NEAR(glm::distance(a.points[i], Vec2(q.x - 200.0, 120.0 - q.y)), 0.0, 1e-9);
  }
  EXPECT_NEAR(a.front_mm, b.front_mm - 200.0, 1e-9);
  EXPECT_NEAR(a.moving_force_N.y, -b.fixed_force_N.y, 1e-12);
  EXPECT_EQ(a.sag_mm, b.sag_mm);
}

TEST(ChainShape, ScalesWithItsLengthsAndItsWeight) {
  ChainShapeProblem p = lying(900, 60, {-200, 150});
  p.back_radius_mm = 3000.0;
  ChainShapeProblem large = p;
  for (double* value : {&large.length_mm, &large.bend_radius_mm, &large.pitch_mm,
                        &large.outer_height_mm, &large.moving.x, &large.moving.y}) {
    *value *= 100.0;
  }
  large.back_radius_mm = 300000.0;
  large.mass_kg_per_m *= 7.0;
  const ChainShape a = solve_chain_shape(p);
  const ChainShape b = solve_chain_shape(large);
  ASSERT_TRUE(a.converged() && b.converged());
  EXPECT_NEAR(b.front_mm / 100.0, a.front_mm, 1e-8);
  EXPECT_NEAR(b.sag_mm / 100.0, a.sag_mm, 1e-8);
  EXPECT_NEAR(b.pull_N / 700.0, a.pull_N, 1e-10);
  EXPECT_NEAR(b.floor_force_N / 700.0, a.floor_force_N, 1e-10);
}

TEST(ChainShape, AHangingLoopCarriesEachSideAtItsBracket) {
  ChainShapeProblem p = lying(1400, 60, {100, 120});
  p.gravity = {1.0, 0.0};
  const ChainShape shape = solve_chain_shape(p);
  ASSERT_TRUE(shape.converged()) << shape.problem;
  LoopProblem loop;
  loop.bend_radius_mm = 60;
  const LoopPose ideal = loop_at(loop, 1400, 100);
  EXPECT_NEAR(shape.front_mm, ideal.front_mm, 1e-9);
  EXPECT_NEAR(strays_from_loop(p, shape), 0.0, 1e-9);
  // Symmetry: each side carries its run and half the bend.
  EXPECT_NEAR(shape.pull_N, weight_N(p) * (ideal.moving_run_mm + 0.5 * pi * 60), 1e-9);
  EXPECT_NEAR(-shape.fixed_force_N.x, weight_N(p) * (ideal.fixed_run_mm + 0.5 * pi * 60), 1e-9);
}

TEST(ChainShape, AHangingLoopWiderThanItsBendNeedsIsACatenary) {
  // Closed form of the limp line (rod/catenary.h), x across, z up.
  ChainShapeProblem p = lying(1400, 60, {100, 500});
  p.gravity = {1.0, 0.0};
  const ChainShape shape = solve_chain_shape(p);
  ASSERT_TRUE(shape.converged()) << shape.problem;
  const rod::Catenary line = rod::solve_catenary({500.0, -100.0, 1400.0, p.mass_kg_per_m});
  EXPECT_NEAR(shape.front_mm, -line.lowest.y, 1e-8);
  EXPECT_NEAR(shape.moving_force_N.y, line.horizontal_force_N, 1e-9);
  EXPECT_NEAR(shape.pull_N, line.vertical_end_N, 1e-9);
  EXPECT_NEAR(shape.smallest_radius_mm, line.smallest_radius_mm, 1e-8);
  EXPECT_GT(shape.smallest_radius_mm, 60.0);
}

TEST(ChainShape, AHangingLoopPassesFromRollingToCatenaryWithoutAJump) {
  ChainShapeProblem p = lying(1400, 60, {100, 130});
  p.gravity = {1.0, 0.0};
  double last = solve_chain_shape(p).front_mm;
  bool rolled = false;
  bool hung = false;
  for (double width = 130.5; width <= 480; width += 0.5) {
    p.moving.y = width;
    const ChainShape shape = solve_chain_shape(p);
    ASSERT_TRUE(shape.converged()) << width << ": " << shape.problem;
    EXPECT_LE(shape.front_mm, last);
    EXPECT_NEAR(shape.front_mm, last, 0.5);
    last = shape.front_mm;
    (shape.pieces.size() == 3 ? rolled : hung) = true;
    // Both brackets pull aside alike: nothing else acts across.
    EXPECT_NEAR(shape.fixed_force_N.y, -shape.moving_force_N.y, 1e-12);
  }
  EXPECT_TRUE(rolled && hung);
}

TEST(ChainShape, WhatCannotBeIsRefused) {
  const auto status = [](const ChainShapeProblem& p) { return solve_chain_shape(p).status; };
  EXPECT_EQ(status(lying(900, 60, {0, 110})), ChainShapeStatus::too_low);
  EXPECT_EQ(status(lying(500, 60, {-400, 120})), ChainShapeStatus::too_short);
  EXPECT_EQ(status(lying(500, 60, {400, 120})), ChainShapeStatus::too_short);
  EXPECT_EQ(status(lying(-1, 60, {0, 120})), ChainShapeStatus::invalid);
  EXPECT_EQ(status(lying(900, 60, {std::nan(""), 120})), ChainShapeStatus::invalid);
  ChainShapeProblem standing = lying(900, 60, {0, 120});
  standing.gravity = {-1.0, 0.0};
  EXPECT_EQ(status(standing), ChainShapeStatus::not_simulated);
  ChainShapeProblem side = lying(900, 60, {0, 120});
  side.gravity = {0.0, 0.0};
  EXPECT_EQ(status(side), ChainShapeStatus::on_its_side);
  EXPECT_FALSE(solve_chain_shape(side).converged());
  EXPECT_NEAR(strays_from_loop(side, solve_chain_shape(side)), 0.0, 1e-9);
  side.moving.y = 200;
  EXPECT_EQ(status(side), ChainShapeStatus::not_simulated);
  EXPECT_NE(solve_chain_shape(side).problem.find("friction"), std::string::npos);
}

TEST(ChainShape, NumbersOutOfProportionNeverGiveAShapeThatIsNotOne) {
  // Lengths over many decades, any direction of the weight: a shape is closed and finite, or there
  // is none.
  std::mt19937 random(23);
  const auto decade = [&](double low, double high) {
    return std::pow(10.0, std::uniform_real_distribution<double>(low, high)(random));
  };
  int shapes = 0;
  for (int i = 0; i < 600; ++i) {
    const double radius = decade(-1.0, 4.0);
    ChainShapeProblem p =
        lying(radius * decade(-0.5, 2.5), radius, {0.0, radius * decade(-0.3, 2.0)});
    p.pitch_mm = radius * decade(-1.5, 0.29);
    p.moving.x = (random() % 2 == 0 ? 1.0 : -1.0) * radius * decade(-3.0, 2.0);
    if (random() % 3 == 0) p.moving.y = 2.0 * radius;
    if (random() % 2 == 0) p.back_radius_mm = radius * decade(-3.0, 6.0);
    p.tray = random() % 3 != 0;
    const int way = static_cast<int>(random() % 5);
    if (way == 0) p.gravity = {1.0, 0.0};
    if (way == 1) p.gravity = {0.6, -0.8};
    if (way == 2) p.gravity = {-0.3, 0.5};
    const ChainShape shape = solve_chain_shape(p);
    if (!shape.has_shape()) {
      EXPECT_FALSE(shape.problem.empty());
      continue;
    }
    ++shapes;
    EXPECT_LT(glm::distance(shape.points.front(), Vec2(0.0)), 1e-7 * p.length_mm);
    EXPECT_LT(glm::distance(shape.points.back(), p.moving), 1e-7 * p.length_mm);
    double chords = 0.0;
    for (std::size_t k = 0; k + 1 < shape.points.size(); ++k) {
      chords += glm::distance(shape.points[k], shape.points[k + 1]);
    }
    EXPECT_LE(chords, p.length_mm * (1.0 + 1e-9));
    EXPECT_GE(chords, p.length_mm * 0.95);  // links nearly 2 R long cut the corners
    EXPECT_TRUE(std::isfinite(shape.pull_N + shape.sag_mm + shape.gap_mm + shape.front_mm));
    EXPECT_GE(shape.front_mm, 0.0);
    EXPECT_GE(shape.sag_mm, 0.0);
  }
  EXPECT_GT(shapes, 150);
}

}  // namespace
}  // namespace bight::chain
