// Chains whose pieces are not known beforehand: a rod with a little bending stiffness whose joints
// keep the chain's stops, solved coarse and fine. It leans on no guess of what lies at a stop, and
// so takes the arrangements that solve_lying and solve_hanging do not.

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>
#include <span>

#include "base/tolerance.h"
#include "chain/chain_shape_detail.h"
#include "rod/spatial_rod.h"

namespace bight::chain::shape_detail {
namespace {

using std::numbers::pi;

/// Bending stiffness over weight x length^3 and segments a link: coarse, then fine. What stiffness
/// does to a shape is in proportion to it, so the two extrapolate; forces are as good as the places
/// where a run leaves its stop or the tray are known: to a segment.
struct Level {
  double softness;
  double segments_per_link;
};
constexpr std::array<Level, 2> k_levels{Level{1e-5, 8.0}, Level{2.5e-6, 16.0}};
constexpr double k_softness_ratio = 4.0;
constexpr int k_least_segments = 64;
constexpr int k_most_segments = 640;

/// Loop coordinates turned so that the weight in the plane points along -z of the rod's frame.
class Turned {
 public:
  explicit Turned(const Vec2& gravity) : down_(glm::normalize(gravity)) {}
  Vec3 rod(const Vec2& p) const {
    return {p.x * -down_.y + p.y * down_.x, 0.0, -(p.x * down_.x + p.y * down_.y)};
  }
  Vec2 loop(const Vec3& p) const {
    return {p.x * -down_.y - p.z * down_.x, p.x * down_.x - p.z * down_.y};
  }

 private:
  Vec2 down_;
};

/// Two runs and a half circle between the brackets, and where it cannot be closed so, what it
/// misses spread over its length by the solver.
std::vector<Vec3> ideal_start(const ChainShapeProblem& p, const Turned& frame, int segments,
                              double bulge) {
  const double r = 0.5 * p.moving.y;
  const double arc = pi * r;
  const double lower = std::clamp(0.5 * (p.length_mm - arc + p.moving.x), 0.0, p.length_mm);
  std::vector<Vec3> points;
  for (int i = 0; i <= segments; ++i) {
    const double s = p.length_mm * i / segments;
    const double a = std::clamp((s - lower) / r, 0.0, pi);
    const double sideways = bulge * std::sin(pi * s / p.length_mm);
    points.push_back(
        frame.rod({std::min(s, lower) + r * std::sin(a) - std::max(0.0, s - lower - arc) + sideways,
                   r - r * std::cos(a)}));
  }
  return points;
}

double segment_distance(const Vec2& a, const Vec2& b, const Vec2& q) {
  const Vec2 d = b - a;
  const double square = glm::dot(d, d);
  const double t = square > 0.0 ? std::clamp(glm::dot(q - a, d) / square, 0.0, 1.0) : 0.0;
  return glm::distance(q, a + t * d);
}

/// Least distance of parts of the chain that are farther apart along it than a half circle.
double least_gap_to_itself(const std::vector<Vec2>& points, double length, double radius) {
  const double step = length / static_cast<double>(points.size() - 1);
  const auto apart = static_cast<std::size_t>(std::ceil(pi * radius / step)) + 1;
  double least = length;
  for (std::size_t i = 0; i < points.size(); ++i) {
    for (std::size_t j = i + apart; j + 1 < points.size(); ++j) {
      least = std::min(least, segment_distance(points[j], points[j + 1], points[i]));
    }
  }
  return least;
}

void describe(const ChainShapeProblem& p, const rod::SpatialRodSolver& solver, const Turned& frame,
              ChainShape& shape) {
  const rod::SpatialRodFigures f = solver.figures();
  for (const Vec3& q : solver.points()) shape.points.push_back(frame.loop(q));
  shape.pieces = {{PieceKind::free, p.length_mm, 0.0}};
  shape.smallest_radius_mm = f.smallest_radius_mm;
  // The fold is where joints are turned by nearly all that they can; the run begins after it.
  constexpr double k_folded = 0.9;
  std::size_t front = 0;
  for (std::size_t i = 0; i < shape.points.size(); ++i) {
    if (shape.points[i].x > shape.points[front].x) front = i;
  }
  shape.front_mm = shape.points[front].x;
  const auto folded = [&](std::size_t i) {
    if (i == 0 || i + 1 >= shape.points.size()) return false;
    const Vec2 a = glm::normalize(shape.points[i] - shape.points[i - 1]);
    const Vec2 b = glm::normalize(shape.points[i + 1] - shape.points[i]);
    const double length = glm::distance(shape.points[i], shape.points[i + 1]);
    return a.x * b.y - a.y * b.x > k_folded * length / p.bend_radius_mm;
  };
  std::size_t first = front;
  std::size_t last = front;
  while (folded(first)) --first;
  while (folded(last)) ++last;
  if (p.gravity.x > std::abs(p.gravity.y)) {
    shape.gap_mm =
        first < last ? shape.points[last].y - shape.points[first].y : p.moving.y;  // bends less
  } else {
    shape.gap_mm = p.moving.y;
    for (std::size_t i = last; i < shape.points.size(); ++i) {
      shape.gap_mm = std::min(shape.gap_mm, shape.points[i].y);
    }
    const Vec2 along = glm::normalize(shape.points[last] - shape.points[last > 0 ? last - 1 : 0]);
    const Vec2 centre = shape.points[last] + p.bend_radius_mm * Vec2(-along.y, along.x);
    const std::optional<double> tangent = bend_tangent(centre, p.bend_radius_mm, p.moving);
    for (std::size_t i = last; i < shape.points.size() && tangent; ++i) {
      const Vec2 q = shape.points[i] - p.moving;
      shape.sag_mm = std::max(shape.sag_mm, std::tan(*tangent) * q.x - q.y);
    }
  }
  shape.fixed_force_N = frame.loop(f.start_force_N);
  shape.moving_force_N = frame.loop(f.end_force_N);
  shape.fixed_moment_Nmm = f.start_moment_Nmm;
  shape.moving_moment_Nmm = f.end_moment_Nmm;
  if (!p.tray) return;
  // A straight run at its stops shares its weight with the bracket in any way: as with pieces,
  // nothing acts across where it lies.
  constexpr double k_lies_mm = 1e-3;
  std::size_t lying = 0;
  while (lying + 1 < shape.points.size() && shape.points[lying + 1].y < k_lies_mm) ++lying;
  if (lying == 0) {
    for (const rod::RodContact& c : f.contacts) shape.tray_force_N += glm::length(c.force_N);
    shape.floor_force_N = shape.tray_force_N;
    return;
  }
  const double weight = p.mass_kg_per_m * -p.gravity.y * k_gravity / 1000.0;  // N/mm down
  const double share = static_cast<double>(lying) / static_cast<double>(shape.points.size() - 1);
  shape.fixed_force_N.y = 0.0;
  shape.fixed_moment_Nmm = 0.0;
  shape.tray_force_N = weight * p.length_mm - shape.moving_force_N.y;
  shape.floor_force_N = std::max(0.0, shape.tray_force_N - share * weight * p.length_mm);
}

/// How the joint at a bracket stands: between its stops, where it carries no moment, or at one.
enum class Joint { free, back, fold };

/// By how much it turns at its stops, rad, both 0 or more.
struct JointStops {
  double fold = 0.0;
  double back = 0.0;
  double turn_at(Joint joint) const {
    return joint == Joint::fold ? fold : joint == Joint::back ? -back : 0.0;
  }
};

/// What is solved at every level.
struct RodChain {
  const ChainShapeProblem& p;
  Turned frame{p.gravity};
  double weight = p.mass_kg_per_m * glm::length(p.gravity) * k_gravity / 1000.0;  ///< N/mm in plane
  JointStops fixed;
  JointStops moving;
};

/// What a joint does that was assumed to stand so: the same, or what to try instead. `turn` is that
/// of the first link beyond it, folding positive.
Joint found_at(const JointStops& stops, Joint joint, double turn) {
  constexpr double k_slack = 1e-3;  // rad; at a stop the first segment is turned a little more
  if (joint == Joint::back) return turn <= -stops.back + k_slack ? joint : Joint::free;
  if (joint == Joint::fold) return turn >= stops.fold - k_slack ? joint : Joint::free;
  if (turn > stops.fold + k_slack) return Joint::fold;
  return turn < -stops.back - k_slack ? Joint::back : Joint::free;
}

struct Solved {
  std::vector<Vec3> points;
  /// As the joints at the brackets were found to stand.
  Joint fixed = Joint::free;
  Joint moving = Joint::free;
  bool as_assumed = false;
  ChainShape shape;
};

/// One level from a start, with the joints at the brackets as assumed. Nothing when it does not
/// settle.
std::optional<Solved> solve_level(const RodChain& c, const Level& level, Joint fixed, Joint moving,
                                  std::span<const Vec3> start, ChainShape& shape) {
  const ChainShapeProblem& p = c.p;
  rod::SpatialRodProblem r;
  r.length_mm = p.length_mm;
  r.mass_kg_m = p.mass_kg_per_m * glm::length(p.gravity);
  r.stiffness_Nm2 = level.softness * c.weight * std::pow(p.length_mm, 3) / 1e6;
  r.end = c.frame.rod(p.moving);
  r.space = rod::RodSpace::xz_plane;
  if (p.tray) r.obstacles = {rod::HalfSpace{Vec3(0.0), c.frame.rod({0.0, 1.0})}};
  r.limits = rod::CurvatureLimits{p.back_radius_mm ? -1000.0 / *p.back_radius_mm : 0.0,
                                  1000.0 / p.bend_radius_mm};
  const double at_fixed = c.fixed.turn_at(fixed);
  const double at_moving = c.moving.turn_at(moving);
  if (fixed != Joint::free) {
    r.start_tangent = c.frame.rod({std::cos(at_fixed), std::sin(at_fixed)});
  }
  if (moving != Joint::free) {
    r.end_tangent = c.frame.rod({-std::cos(at_moving), std::sin(at_moving)});
  }
  rod::SpatialRodSolver solver(static_cast<int>(start.size()) - 1);
  const rod::RodReport report = solver.solve_from(start, r, {.most_iterations = 80});
  if (!report.converged()) return {};
  Solved solved{solver.points(), fixed, moving, false, shape};
  const std::vector<Vec3>& q = solved.points;
  const Vec2 first = c.frame.loop(q[1] - q[0]);
  const Vec2 last = c.frame.loop(q[q.size() - 1] - q[q.size() - 2]);
  solved.fixed = found_at(c.fixed, fixed, std::atan2(first.y, first.x));
  solved.moving = found_at(c.moving, moving, std::atan2(last.y, -last.x));
  solved.as_assumed = solved.fixed == fixed && solved.moving == moving;
  if (!solved.as_assumed) return solved;
  describe(p, solver, c.frame, solved.shape);
  solved.shape.residual = report.residual;
  if (least_gap_to_itself(solved.shape.points, p.length_mm, p.bend_radius_mm) <
      p.outer_height_mm - k_length_equal_mm) {
    shape.problem = "its runs would lie on each other, which is not simulated here";
    return {};
  }
  return solved;
}

/// The coarse level, from two runs and a half circle, with the joints at the brackets as they turn
/// out to be.
std::optional<Solved> solve_coarse(const RodChain& c, int segments, ChainShape& shape) {
  constexpr int k_tries = 6;
  for (const double bulge : {0.0, 0.1}) {
    const auto start = ideal_start(c.p, c.frame, segments, bulge * c.p.length_mm);
    for (const Joint first : {Joint::free, Joint::back, Joint::fold}) {
      // A lower run that sticks out hangs on its bracket's stop.
      const bool sticks_out = first == Joint::free && !c.p.tray && c.fixed.fold == 0.0;
      Joint fixed = sticks_out ? Joint::back : first;
      Joint moving = first == Joint::fold ? Joint::free : first;
      for (int i = 0; i < k_tries; ++i) {
        auto solved = solve_level(c, k_levels[0], fixed, moving, start, shape);
        if (!solved) break;
        if (solved->as_assumed) return solved;
        fixed = solved->fixed;
        moving = solved->moving;
      }
    }
  }
  return {};
}

/// Each segment cut into equal parts.
std::vector<Vec3> refined(const std::vector<Vec3>& points, int parts) {
  std::vector<Vec3> finer{points.front()};
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    for (int k = 1; k <= parts; ++k) {
      finer.push_back(points[i] + (points[i + 1] - points[i]) * (static_cast<double>(k) / parts));
    }
  }
  return finer;
}

/// Figures of the fine level, without what its stiffness does to them, and how far both may be off.
void settle_figures(const RodChain& c, const ChainShape& coarse, ChainShape& fine) {
  const double segment = c.p.length_mm / static_cast<double>(fine.points.size() - 1);
  double off = 0.0;
  const auto extrapolate = [&](double before, double& value) {
    off = std::max(off, std::abs(value - before));
    value += (value - before) / (k_softness_ratio - 1.0);
  };
  extrapolate(coarse.front_mm, fine.front_mm);
  extrapolate(coarse.sag_mm, fine.sag_mm);
  fine.sag_mm = std::max(0.0, fine.sag_mm);
  // Between two joints the line bulges by this; corners of the figures are no better known.
  constexpr double k_bulges = 8.0;
  fine.error_mm = off + k_bulges * segment * segment / c.p.bend_radius_mm;
  const double change = std::max(glm::distance(coarse.fixed_force_N, fine.fixed_force_N),
                                 glm::distance(coarse.moving_force_N, fine.moving_force_N));
  constexpr double k_places = 2.0;  // segments: measured against pieces, chain_shape_as_rod_test
  fine.error_N = std::max(change, k_places * c.weight * segment);
}

}  // namespace

bool solve_as_rod(const ChainShapeProblem& p, ChainShape& shape) {
  // Segments must follow the bend, and ends far beyond each other leave nothing to settle.
  constexpr double k_longest_segment = 0.5;  // of the bend radius
  if (p.length_mm > k_longest_segment * k_most_segments / 2 * p.bend_radius_mm) return false;
  if (!(p.length_mm > glm::length(p.moving))) return false;
  const JointStops joint{p.pitch_mm / p.bend_radius_mm,
                         p.back_radius_mm ? p.pitch_mm / *p.back_radius_mm : 0.0};
  // The lower run of a chain that lies goes on in its bracket's direction.
  const bool hangs = p.gravity.x > std::abs(p.gravity.y);
  const RodChain chain{.p = p, .fixed = hangs ? joint : JointStops{}, .moving = joint};
  const int segments = std::clamp(
      static_cast<int>(std::lround(k_levels[0].segments_per_link * p.length_mm / p.pitch_mm)),
      k_least_segments, k_most_segments / 2);
  const std::optional<Solved> coarse = solve_coarse(chain, segments, shape);
  if (!coarse) return false;
  const auto parts =
      static_cast<int>(k_levels[1].segments_per_link / k_levels[0].segments_per_link);
  std::optional<Solved> fine = solve_level(chain, k_levels[1], coarse->fixed, coarse->moving,
                                           refined(coarse->points, parts), shape);
  if (!fine || !fine->as_assumed) {
    const auto start = ideal_start(p, chain.frame, segments * parts, 0.0);
    fine = solve_level(chain, k_levels[1], coarse->fixed, coarse->moving, start, shape);
  }
  if (!fine || !fine->as_assumed) return false;
  settle_figures(chain, coarse->shape, fine->shape);
  shape = std::move(fine->shape);
  shape.status = ChainShapeStatus::balanced;
  shape.by_rod = true;
  shape.problem.clear();
  return true;
}

}  // namespace bight::chain::shape_detail
