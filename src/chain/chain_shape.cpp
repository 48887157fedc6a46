#include "chain/chain_shape.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/number.h"
#include "base/tolerance.h"
#include "chain/chain_shape_detail.h"
#include "chain/loop.h"

namespace bight::chain {
namespace {

using std::numbers::pi;

bool valid(const ChainShapeProblem& p) {
  const auto positive = [](double v) { return std::isfinite(v) && v > 0.0; };
  return positive(p.length_mm) && positive(p.bend_radius_mm) && positive(p.pitch_mm) &&
         p.pitch_mm < 2.0 * p.bend_radius_mm && positive(p.mass_kg_per_m) &&
         std::isfinite(p.outer_height_mm) && p.outer_height_mm >= 0.0 &&
         positive(p.back_radius_mm.value_or(1.0)) && std::isfinite(p.moving.x) &&
         std::isfinite(p.moving.y) && std::isfinite(p.gravity.x) && std::isfinite(p.gravity.y) &&
         glm::length(p.gravity) <= 1.0 + 1e-9 &&
         p.length_mm / p.pitch_mm <= 1e6;  // links; more is no chain
}

/// The same chain seen from its moving end, upside down: folding stays folding.
ChainShapeProblem turned_over(ChainShapeProblem p) {
  p.moving.x = -p.moving.x;
  p.gravity.y = -p.gravity.y;
  return p;
}

ChainShape turned_back(ChainShape shape, const Vec2& moving) {
  std::reverse(shape.pieces.begin(), shape.pieces.end());
  std::reverse(shape.points.begin(), shape.points.end());
  for (Vec2& q : shape.points) q = {q.x + moving.x, moving.y - q.y};
  shape.front_mm += moving.x;
  std::swap(shape.fixed_force_N, shape.moving_force_N);
  shape.fixed_force_N.y = -shape.fixed_force_N.y;
  shape.moving_force_N.y = -shape.moving_force_N.y;
  std::swap(shape.fixed_moment_Nmm, shape.moving_moment_Nmm);
  return shape;
}

LoopProblem loop_of(const ChainShapeProblem& p) {
  LoopProblem loop;
  loop.moving_mm = {p.moving.x, p.moving.x};
  loop.bend_radius_mm = 0.5 * p.moving.y;
  loop.pitch_mm = p.pitch_mm;
  return loop;
}

/// Two straight runs and the half circle, without forces.
void ideal_shape(const ChainShapeProblem& p, ChainShape& shape) {
  const LoopProblem loop = loop_of(p);
  const LoopPose pose = loop_at(loop, p.length_mm, p.moving.x);
  if (!(pose.fixed_run_mm >= -k_length_equal_mm) || !(pose.moving_run_mm >= -k_length_equal_mm)) {
    shape.status = ChainShapeStatus::too_short;
    shape.problem = "the chain is too short: its bend has come to a bracket";
    return;
  }
  shape.pieces = {{PieceKind::lying, pose.fixed_run_mm, 0.0},
                  {PieceKind::fold, pi * loop.bend_radius_mm, 1.0 / loop.bend_radius_mm},
                  {PieceKind::lying, pose.moving_run_mm, 0.0}};
  double s = 0.0;
  shape.points.push_back(point_on_loop(loop, p.length_mm, p.moving.x, s));
  for (const ChainShapePiece& piece : shape.pieces) {
    const int steps =
        shape_detail::drawing_steps(piece.length_mm, piece.curvature_per_mm, p.pitch_mm);
    for (int i = 1; i <= steps; ++i) {
      shape.points.push_back(
          point_on_loop(loop, p.length_mm, p.moving.x, s + piece.length_mm * i / steps));
    }
    s += piece.length_mm;
  }
  shape.gap_mm = p.moving.y;
  shape.front_mm = pose.front_mm;
  shape.smallest_radius_mm = loop.bend_radius_mm;
  shape.status = ChainShapeStatus::on_its_side;
  shape.problem = "the weight acts across the plane of the loop: no forces in it are computed";
}

void refuse(ChainShape& shape, ChainShapeStatus status, std::string why) {
  shape.status = status;
  shape.problem = std::move(why);
}

/// A loop with its bend down, plumb or aslant.
void hang(ChainShapeProblem p, bool plumb, ChainShape& shape) {
  if (plumb) {
    shape_detail::solve_hanging(p, shape);
    const bool open = shape.status == ChainShapeStatus::not_simulated ||
                      shape.status == ChainShapeStatus::not_balanced;
    p.tray = false;  // nothing lies on it
    if (open) shape_detail::solve_as_rod(p, shape);
    return;
  }
  refuse(shape, ChainShapeStatus::not_balanced, "the loop that hangs aslant did not settle");
  if (p.gravity.y <= 0.0) {
    shape_detail::solve_as_rod(p, shape);
    return;
  }
  shape_detail::solve_as_rod(turned_over(p), shape);
  if (shape.converged()) shape = turned_back(std::move(shape), p.moving);
}

}  // namespace

ChainShape solve_chain_shape(const ChainShapeProblem& given) {
  ChainShape shape;
  if (!valid(given)) {
    refuse(shape, ChainShapeStatus::invalid, "a number is not finite or out of range");
    return shape;
  }
  ChainShapeProblem p = given;
  const double radius = p.bend_radius_mm;
  const auto [lowest, highest] = level_heights(radius, p.pitch_mm);
  if (!(p.moving.y >= lowest)) {
    refuse(shape, ChainShapeStatus::too_low,
           "the runs are " + fixed(2.0 * radius - p.moving.y, 1) +
               " mm nearer than 2 R: no chain bends so");
    return shape;
  }
  const bool level = p.moving.y <= highest;
  if (level) p.bend_radius_mm = 0.5 * p.moving.y;
  // Shares of the weight in the plane that count: a chain tilted against the horizontal by up to
  // 45 deg still lies, one within rounding of the vertical hangs.
  constexpr double k_no_weight = 1e-6;
  const double along = p.gravity.x;
  const double across = std::abs(p.gravity.y);
  if (std::hypot(along, across) <= k_no_weight) {
    if (level) {
      ideal_shape(p, shape);
    } else {
      refuse(shape, ChainShapeStatus::not_simulated,
             "on its side and mounted farther apart than 2 R: nothing but friction decides the "
             "shape");
    }
  } else if (across >= std::abs(along)) {
    const auto solve = [&shape](const ChainShapeProblem& q) {
      shape_detail::solve_lying(q, shape);
      if (shape.status == ChainShapeStatus::not_balanced) shape_detail::solve_as_rod(q, shape);
    };
    if (p.gravity.y < 0.0) {
      solve(p);
    } else {
      solve(turned_over(p));
      if (shape.converged()) shape = turned_back(std::move(shape), p.moving);
    }
  } else if (along > 0.0) {
    hang(p, across <= k_no_weight, shape);
  } else {
    refuse(shape, ChainShapeStatus::not_simulated,
           "a loop that stands with its bend on top falls over without guides");
  }
  shape.pull_N = std::abs(shape.moving_force_N.x);
  return shape;
}

double strays_from_loop(const ChainShapeProblem& problem, const ChainShape& shape) {
  constexpr double k_resolution_mm = 0.01;  // a hundredth of what a person mounts it to
  const LoopProblem loop = loop_of(problem);
  const double bend = loop_at(loop, problem.length_mm, problem.moving.x).bend_mm;
  const double radius = loop.bend_radius_mm;
  enum class Part { lower, upper, bend };
  struct Nearest {
    double mm;
    Part part;
  };
  const auto nearest = [&](const Vec2& q) {
    const double lower = std::hypot(std::max({0.0, -q.x, q.x - bend}), q.y);
    const double upper =
        std::hypot(std::max({0.0, problem.moving.x - q.x, q.x - bend}), q.y - problem.moving.y);
    Nearest n = lower <= upper ? Nearest{lower, Part::lower} : Nearest{upper, Part::upper};
    if (q.x < bend) return n;
    const double circle = std::abs(glm::length(q - Vec2(bend, radius)) - radius);
    return circle < n.mm ? Nearest{circle, Part::bend} : n;
  };
  double farthest = 0.0;
  // Between two points with the same part nearest none is farther than these: distances to a
  // straight part are convex, inside the bend they are so but for a chord's bulge. Else they are at
  // most half the way between them farther than the mean.
  const auto look_between = [&](const auto& self, const Vec2& a, const Nearest& at_a, const Vec2& b,
                                const Nearest& at_b) -> void {
    farthest = std::max({farthest, at_a.mm, at_b.mm});
    const double bound = 0.5 * (at_a.mm + at_b.mm + glm::distance(a, b));
    if (at_a.part == at_b.part || bound <= farthest + k_resolution_mm) return;
    // Both on the loop: only the chord between them leaves it.
    if (std::max(at_a.mm, at_b.mm) <= k_resolution_mm) return;
    const Vec2 middle = 0.5 * (a + b);
    const Nearest at_middle = nearest(middle);
    self(self, a, at_a, middle, at_middle);
    self(self, middle, at_middle, b, at_b);
  };
  for (std::size_t i = 1; i < shape.points.size(); ++i) {
    const Vec2& a = shape.points[i - 1];
    const Vec2& b = shape.points[i];
    look_between(look_between, a, nearest(a), b, nearest(b));
  }
  return farthest;
}

}  // namespace bight::chain
