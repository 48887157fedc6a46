// A loop that hangs from both brackets with its bend down: catenary, arc at the folding stop,
// catenary. On the arc the shear force vanishes at both ends (M = M' = 0 there, M > 0 between), so
// with its half angle f the horizontal pull is H = w R f / tan(f).

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/tolerance.h"
#include "chain/chain_shape_detail.h"
#include "rod/catenary.h"
#include "rod/root.h"

namespace bight::chain::shape_detail {
namespace {

using std::numbers::pi;

/// A loop for a half angle of its arc. x across from the fixed pin, z up.
struct Hanging {
  double half_angle;
  double parameter;  ///< H / w
  double fixed_run, moving_run;
  double width;
};

/// Height and width of a catenary between arc lengths s0 and s1 from its vertex.
double rise(double a, double s0, double s1) {
  return (s1 - s0) * (s1 + s0) / (std::hypot(a, s1) + std::hypot(a, s0));
}
double reach(double a, double s0, double s1) {
  return a > 0.0 ? a * (std::asinh(s1 / a) - std::asinh(s0 / a)) : 0.0;
}

/// `raised`: height of the moving pin above the fixed one. Runs come out negative where the arc
/// would reach a bracket.
Hanging hanging_with(double half_angle, double radius, double length, double raised) {
  Hanging h{};
  h.half_angle = half_angle;
  const double s0 = radius * half_angle;
  h.parameter = half_angle < 0.5 * pi ? radius * half_angle / std::tan(half_angle) : 0.0;
  const double a = h.parameter;
  const double runs = length - 2.0 * s0;
  const auto excess = [&](double moving_run) {
    const double s1 = s0 + moving_run;
    const double s2 = s0 + runs - moving_run;
    return rod::ValueSlope{rise(a, s0, s1) - rise(a, s0, s2) - raised,
                           s1 / std::hypot(a, s1) + s2 / std::hypot(a, s2)};
  };
  h.moving_run = excess(0.0).value > 0.0    ? -1.0
                 : excess(runs).value < 0.0 ? runs + 1.0
                                            : rod::bracketed_root(excess, 0.0, runs, true, length);
  h.fixed_run = runs - h.moving_run;
  h.width = 2.0 * radius * std::sin(half_angle) + reach(a, s0, s0 + h.fixed_run) +
            reach(a, s0, s0 + h.moving_run);
  return h;
}

/// Angle by which the line's end is off straight down.
double off_vertical(double a, double s) {
  return std::atan2(a, s);
}

}  // namespace

void solve_hanging(const ChainShapeProblem& problem, ChainShape& shape) {
  const double radius = problem.bend_radius_mm;
  const double length = problem.length_mm;
  const double width = problem.moving.y;
  const double raised = -problem.moving.x;
  const double weight = problem.mass_kg_per_m * k_gravity / 1000.0;
  const auto refuse = [&](ChainShapeStatus status, const char* why) {
    shape.status = status;
    shape.problem = why;
  };
  if (!(length > std::hypot(width, raised))) {
    return refuse(ChainShapeStatus::too_short, "the chain does not reach between its brackets");
  }
  // The width falls with the half angle: from the catenary that bends to R at its lowest point to
  // the half circle.
  const double widest = hanging_with(1e-9, radius, length, raised).width;
  Hanging h{};
  if (width <= 2.0 * radius) {
    h = hanging_with(0.5 * pi, radius, length, raised);
  } else if (width < widest) {
    double more = 0.5 * pi;
    double less = 0.0;
    for (int i = 0; i < 100 && less < more; ++i) {
      const double middle = 0.5 * (less + more);
      if (middle == less || middle == more) break;
      (hanging_with(middle, radius, length, raised).width > width ? less : more) = middle;
    }
    h = hanging_with(0.5 * (less + more), radius, length, raised);
  } else {  // wide enough to bend less than R all over
    const rod::Catenary line = rod::solve_catenary({width, raised, length, problem.mass_kg_per_m});
    if (line.status != rod::CatenaryStatus::hangs ||
        !(line.lowest_at_mm > 0.0 && line.lowest_at_mm < length)) {
      return refuse(ChainShapeStatus::not_simulated,
                    "the brackets are so far apart that the chain has no lowest point between "
                    "them");
    }
    h = {0.0, line.parameter_mm, line.lowest_at_mm, length - line.lowest_at_mm, width};
  }
  if (!(h.fixed_run >= 0.0) || !(h.moving_run >= 0.0)) {
    return refuse(ChainShapeStatus::too_short,
                  "the chain is too short: its bend has come to a bracket");
  }
  const double a = h.parameter;
  const double s0 = radius * h.half_angle;
  const double turn = problem.pitch_mm / radius;
  if (!(off_vertical(a, s0 + h.fixed_run) <= turn) ||
      !(off_vertical(a, s0 + h.moving_run) <= turn)) {
    return refuse(ChainShapeStatus::not_simulated,
                  "the joints at the brackets do not turn as far as the chain pulls aside");
  }
  const double drop = rise(a, s0, s0 + h.fixed_run);  // of the arc's ends below the fixed pin
  const double across = reach(a, s0, s0 + h.fixed_run);
  const double bottom = drop + radius * (1.0 - std::cos(h.half_angle));
  const double middle = across + radius * std::sin(h.half_angle);
  const double end_y = middle + radius * std::sin(h.half_angle) + reach(a, s0, s0 + h.moving_run);
  const double end_x = drop - rise(a, s0, s0 + h.moving_run);
  shape.residual =
      glm::length(Vec2(end_x, end_y) - Vec2(problem.moving.x, std::max(width, 2.0 * radius))) /
      length;
  constexpr double k_balanced = 1e-9;
  if (!(shape.residual <= k_balanced)) {
    return refuse(ChainShapeStatus::not_balanced, "no hanging shape closes between the brackets");
  }
  shape.pieces.push_back({PieceKind::free, h.fixed_run, 0.0});
  if (s0 > 0.0) shape.pieces.push_back({PieceKind::fold, 2.0 * s0, 1.0 / radius});
  shape.pieces.push_back({PieceKind::free, h.moving_run, 0.0});
  const int first = drawing_steps(h.fixed_run, 0.0, problem.pitch_mm);
  for (int i = 0; i <= first; ++i) {
    const double s = s0 + h.fixed_run * (first - i) / first;
    shape.points.push_back({drop - rise(a, s0, s), across - reach(a, s0, s)});
  }
  const int arc = s0 > 0.0 ? drawing_steps(2.0 * s0, 1.0 / radius, problem.pitch_mm) : 0;
  for (int i = 1; i <= arc; ++i) {
    const double angle = h.half_angle * (2.0 * i / arc - 1.0);
    shape.points.push_back(
        {bottom - radius * (1.0 - std::cos(angle)), middle + radius * std::sin(angle)});
  }
  const int last = drawing_steps(h.moving_run, 0.0, problem.pitch_mm);
  for (int i = 1; i <= last; ++i) {
    const double s = s0 + h.moving_run * i / last;
    shape.points.push_back(
        {drop - rise(a, s0, s), middle + radius * std::sin(h.half_angle) + reach(a, s0, s)});
  }
  shape.front_mm = bottom;
  shape.gap_mm = s0 > 0.0 ? 2.0 * radius * std::sin(h.half_angle) : width;
  shape.smallest_radius_mm = s0 > 0.0 ? radius : a;
  shape.fixed_force_N = weight * Vec2(-(s0 + h.fixed_run), -a);
  shape.moving_force_N = weight * Vec2(-(s0 + h.moving_run), a);
  shape.status = ChainShapeStatus::balanced;
}

}  // namespace bight::chain::shape_detail
