// Chains over a tray, or sticking out from their bracket without one. The geometry follows from
// closure alone, since every piece lies at a stop or on something.

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/tolerance.h"
#include "chain/chain_shape_detail.h"
#include "rod/root.h"

namespace bight::chain::shape_detail {
namespace {

using std::numbers::pi;

/// The problem in numbers that are used all over.
struct Lying {
  double length;
  double radius;
  double back;  ///< curvature of the back stop, >= 0
  double turn;  ///< that the joint at the moving bracket allows
  Vec2 moving;
};

/// From the start of the fold to the moving bracket, for a given length of the run: fold to the
/// angle `top`, the run, and a fold at the bracket where its joint alone does not turn enough.
struct Upper {
  bool reaches = false;  ///< false: the run is too short for the height
  double top = 0.0;      ///< angle at the end of the fold
  double fold = 0.0;     ///< lengths
  double end_fold = 0.0;
  double dx = 0.0;  ///< from the start of the fold to the bracket
};

/// With C the chord of the run and d half its turn, the height reads
///   P sin(top) - Q cos(top) = rest,
/// whose solution with a level run at the height 2 R is top = atan2(Q, P) + pi - asin(rest /
/// |P,Q|).
Upper upper_part(const Lying& p, const Vec2& start, double start_angle, double run) {
  Upper u;
  const double d = 0.5 * p.back * run;
  const double chord = run * sinc(d);
  const double r = p.radius;
  const double rest = p.moving.y - start.y - r * std::cos(start_angle);
  const auto solve = [&](double along, double across, double wanted) {
    const double size = std::hypot(along, across);
    // A level run 2 R high has `wanted` = `size` at run 0: rounding must not refuse it.
    u.reaches = wanted <= size * (1.0 + 1e-14);
    const double ratio = std::min(1.0, wanted / size);
    u.top = std::atan2(across, along) + pi - std::asin(ratio);
  };
  solve(chord * std::cos(d), r + chord * std::sin(d), rest);
  // A fold at the bracket also helps a run up that is too short without it.
  if (!u.reaches || u.top - 2.0 * d < pi - p.turn) {
    solve(chord * std::cos(d) + r * std::sin(2.0 * d),
          r + chord * std::sin(d) - r * std::cos(2.0 * d), rest - r * std::cos(p.turn));
    u.end_fold = r * (pi - p.turn - (u.top - 2.0 * d));
  }
  if (!u.reaches) return u;
  u.fold = r * (u.top - start_angle);
  u.dx = r * (std::sin(u.top) - std::sin(start_angle)) + chord * std::cos(u.top - d);
  if (u.end_fold > 0.0) u.dx += r * (std::sin(p.turn) - std::sin(u.top - 2.0 * d));
  return u;
}

/// The run may turn back by half a turn at most: beyond it would coil.
double longest_run(const Lying& p) {
  return p.back > 0.0 ? std::min(p.length, pi / p.back) : p.length;
}

void add_upper(const Lying& p, const Upper& upper, double run, ArcChain& chain) {
  chain.add(PieceKind::fold, 1.0 / p.radius, upper.fold);
  chain.add(PieceKind::back, 0.0 - p.back, run);
  chain.bracket_at_stop = upper.end_fold > 0.0;
  if (chain.bracket_at_stop) chain.add(PieceKind::fold, 1.0 / p.radius, upper.end_fold);
}

/// `arcs` is empty when nothing closes between the brackets.
struct Geometry {
  ArcChain chain;
  bool too_short = false;
};

/// Lying, fold, run. With the run's length everything is known; the total length grows with it
/// (about twice as fast: both runs grow).
Geometry over_tray(const Lying& p) {
  const auto excess = [&](double run) {
    const Upper u = upper_part(p, {0.0, 0.0}, 0.0, run);
    const double lying = p.moving.x - u.dx;
    return rod::ValueSlope{u.reaches ? lying + u.fold + run + u.end_fold - p.length : -p.length,
                           2.0};
  };
  const double longest = longest_run(p);
  if (excess(0.0).value > k_length_equal_mm) return {.chain = {}, .too_short = true};
  if (!(excess(longest).value >= 0.0)) return {};
  const double run = rod::bracketed_root(excess, 0.0, longest, true, p.length);
  const Upper u = upper_part(p, {0.0, 0.0}, 0.0, run);
  const double lying = p.moving.x - u.dx;
  if (!(lying >= -k_length_equal_mm)) return {.chain = {}, .too_short = true};
  Geometry geometry;
  geometry.chain.add(PieceKind::lying, 0.0, lying);
  add_upper(p, u, run, geometry.chain);
  return geometry;
}

/// Lying, fold, down to the run below, lying on it, and up to the bracket. Empty when there is
/// nothing left to lie.
ArcChain over_itself(const Lying& p, double rest_height) {
  ArcChain chain;
  const double r = p.radius;
  if (!(p.back > 0.0)) return chain;
  const double b = 1.0 / p.back;
  // Beyond half a turn by `down`: R (1 + cos) - b (1 - cos) = rest height.
  const double down = std::acos(std::min(1.0, (rest_height - r + b) / (r + b)));
  double up = std::acos(1.0 - (p.moving.y - rest_height) / b);
  double end_fold = 0.0;
  if (up > p.turn) {
    up = std::acos((b + r * std::cos(p.turn) - (p.moving.y - rest_height)) / (r + b));
    end_fold = r * (up - p.turn);
  }
  if (!(down >= 0.0) || !(up >= 0.0)) return chain;  // NaN: the stops do not let it come down
  const double fold = r * (pi + down);
  double dx = -(r + b) * std::sin(down) - b * std::sin(up);
  if (end_fold > 0.0) dx += r * (std::sin(p.turn) - std::sin(up));
  // below + above = sum, below - above = difference (x of the bracket).
  const double sum = p.length - fold - b * (down + up) - end_fold;
  const double difference = p.moving.x - dx;
  const double below = 0.5 * (sum + difference);
  const double above = 0.5 * (sum - difference);
  if (!(above >= 0.0) || !(below >= 0.0)) return chain;
  chain.add(PieceKind::lying, 0.0, below);
  chain.add(PieceKind::fold, 1.0 / r, fold);
  chain.add(PieceKind::back, -p.back, b * down);
  chain.add(PieceKind::lying, 0.0, above);
  chain.add(PieceKind::back, -p.back, b * up);
  chain.bracket_at_stop = end_fold > 0.0;
  if (chain.bracket_at_stop) chain.add(PieceKind::fold, 1.0 / r, end_fold);
  return chain;
}

/// Without a tray: a lower run that sags at its stops, fold, run.
Geometry sticking_out(const Lying& p) {
  const auto lower = [&](double run) {
    return Arc{PieceKind::back, {0.0, 0.0}, 0.0, -p.back, run};
  };
  // The upper run that makes up the length.
  const auto upper_run = [&](const Arc& low) {
    const auto excess = [&](double run) {
      const Upper u = upper_part(p, low.end(), low.end_angle(), run);
      return rod::ValueSlope{
          u.reaches ? low.length + u.fold + run + u.end_fold - p.length : -p.length, 1.0};
    };
    const double longest = longest_run(p);
    if (!(excess(longest).value >= 0.0)) return longest;
    if (!(excess(0.0).value <= 0.0)) return 0.0;
    return rod::bracketed_root(excess, 0.0, longest, true, p.length);
  };
  const auto beyond = [&](double run) {  // how far the upper end lies beyond the bracket
    const Arc low = lower(run);
    const Upper u = upper_part(p, low.end(), low.end_angle(), upper_run(low));
    return rod::ValueSlope{u.reaches ? low.end().x + u.dx - p.moving.x : p.length, 2.0};
  };
  const double longest = longest_run(p);
  if (beyond(0.0).value > k_length_equal_mm) return {.chain = {}, .too_short = true};
  if (!(beyond(longest).value >= 0.0)) return {};
  const Arc low = lower(rod::bracketed_root(beyond, 0.0, longest, true, p.length));
  const double run = upper_run(low);
  Geometry geometry;
  geometry.chain.add(PieceKind::back, 0.0 - p.back, low.length);
  add_upper(p, upper_part(p, low.end(), low.end_angle(), run), run, geometry.chain);
  return geometry;
}

/// Drop of the upper run below the line from the bracket that touches the bend from above.
double sag_of(const ArcChain& chain, const Lying& p) {
  const Arc& fold = chain.arcs[1];
  const Arc& run = chain.arcs[2];
  const Vec2 centre = fold.start + p.radius * Vec2(-std::sin(fold.angle), std::cos(fold.angle));
  const std::optional<double> touching = bend_tangent(centre, p.radius, p.moving);
  if (!touching) return 0.0;
  const double angle = *touching;
  const double slope = std::tan(angle);
  double sag = 0.0;
  // Lowest below the line where the run is parallel to it: travelling towards -x, at pi + angle.
  for (const Arc* arc = &run; arc != chain.arcs.data() + chain.arcs.size(); ++arc) {
    const double parallel =
        arc->curvature == 0.0 ? 0.0 : (pi + angle - arc->angle) / arc->curvature;
    for (const double s : {0.0, std::clamp(parallel, 0.0, arc->length), arc->length}) {
      const Vec2 q = arc->point(s);
      sag = std::max(sag, p.moving.y + slope * (q.x - p.moving.x) - q.y);
    }
  }
  return sag;
}

/// Least height of the upper run over the bracket of the lower one (over its tray).
double lowest_of_upper(const ArcChain& chain) {
  double lowest = chain.arcs.back().end().y;
  for (std::size_t k = 2; k < chain.arcs.size(); ++k) {
    const Arc& arc = chain.arcs[k];
    const double level = arc.curvature == 0.0 ? 0.0 : (pi - arc.angle) / arc.curvature;
    lowest = std::min({lowest, arc.start.y, arc.point(std::clamp(level, 0.0, arc.length)).y});
  }
  return lowest;
}

double front_of(const ArcChain& chain) {
  double front = 0.0;
  for (const Arc& arc : chain.arcs) {
    const double steep = arc.curvature == 0.0 ? 0.0 : (0.5 * pi - arc.angle) / arc.curvature;
    front = std::max({front, arc.start.x, arc.point(std::clamp(steep, 0.0, arc.length)).x});
  }
  return std::max(front, chain.arcs.back().end().x);
}

void describe(const ArcChain& chain, double pitch, ChainShape& shape) {
  shape.points.push_back(chain.arcs.front().start);
  for (const Arc& arc : chain.arcs) {
    shape.pieces.push_back({arc.kind, arc.length, arc.curvature});
    const int steps = drawing_steps(arc.length, arc.curvature, pitch);
    for (int i = 1; i <= steps; ++i) shape.points.push_back(arc.point(arc.length * i / steps));
  }
}

}  // namespace

std::optional<double> bend_tangent(const Vec2& centre, double radius, const Vec2& moving) {
  const Vec2 to_centre = centre - moving;
  const double distance = glm::length(to_centre);
  if (!(distance > radius)) return {};
  return std::atan2(to_centre.y, to_centre.x) + std::asin(radius / distance);
}

void solve_lying(const ChainShapeProblem& problem, ChainShape& shape) {
  const Lying p{problem.length_mm, problem.bend_radius_mm,
                problem.back_radius_mm ? 1.0 / *problem.back_radius_mm : 0.0,
                problem.pitch_mm / problem.bend_radius_mm, problem.moving};
  const auto refuse = [&](ChainShapeStatus status, const char* why) {
    shape.status = status;
    shape.problem = why;
  };
  Geometry geometry;
  if (problem.tray) geometry.chain = over_itself(p, problem.outer_height_mm);
  const bool on_itself = !geometry.chain.arcs.empty();
  if (!on_itself) geometry = problem.tray ? over_tray(p) : sticking_out(p);
  const ArcChain& chain = geometry.chain;
  if (geometry.too_short) {
    return refuse(ChainShapeStatus::too_short,
                  "the chain is too short: its bend has come to a bracket");
  }
  if (chain.arcs.empty()) {
    return refuse(ChainShapeStatus::not_balanced,
                  "no shape of runs at their stops closes between the brackets");
  }
  const double weight = problem.mass_kg_per_m * k_gravity / 1000.0;
  const ArcForces forces = arc_forces(chain, weight, problem.gravity);
  double length = 0.0;
  for (const Arc& arc : chain.arcs) length += arc.length;
  const double closure =
      std::max(glm::length(chain.arcs.back().end() - p.moving), std::abs(length - p.length));
  shape.residual = std::max(closure / p.length, forces.wrong_sign);
  constexpr double k_balanced = 1e-9;
  if (!forces.found || !(shape.residual <= k_balanced)) {
    return refuse(ChainShapeStatus::not_balanced, "runs at their stops are not in balance here");
  }
  describe(chain, problem.pitch_mm, shape);
  shape.gap_mm = lowest_of_upper(chain);
  shape.sag_mm = sag_of(chain, p);
  shape.front_mm = front_of(chain);
  shape.smallest_radius_mm = p.radius;
  shape.on_itself_mm = on_itself ? chain.arcs[3].length : 0.0;
  shape.fixed_force_N = forces.start_force;
  shape.moving_force_N = forces.end_force;
  shape.fixed_moment_Nmm = std::abs(forces.start_moment);
  shape.moving_moment_Nmm = std::abs(forces.end_moment);
  shape.floor_force_N = forces.reactions.front();
  for (const double reaction : forces.reactions) shape.tray_force_N += reaction;
  shape.tray_force_N += forces.lying_N;
  shape.status = ChainShapeStatus::balanced;
}

}  // namespace bight::chain::shape_detail
