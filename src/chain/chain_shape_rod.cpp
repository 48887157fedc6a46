// Chains whose pieces are not known beforehand: a rod with a little bending stiffness whose joints
// keep the chain's stops, two segments a link. It leans on no guess of what lies at a stop, and so
// takes the arrangements that solve_lying and solve_hanging do not.

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>

#include "base/tolerance.h"
#include "chain/chain_shape_detail.h"
#include "rod/spatial_rod.h"

namespace bight::chain::shape_detail {
namespace {

using std::numbers::pi;

/// Bending stiffness over weight x length^3: enough to settle, and little beside what two
/// segments a link cost in accuracy.
constexpr double k_softness = 2e-5;
constexpr int k_least_segments = 64;
constexpr int k_most_segments = 320;

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
  // The fold is where joints are turned by more than half of what they can; the run begins after
  // it.
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
    return a.x * b.y - a.y * b.x > 0.5 * length / p.bend_radius_mm;
  };
  std::size_t first = front;
  std::size_t last = front;
  while (folded(first)) --first;
  while (folded(last)) ++last;
  if (p.gravity.x > std::abs(p.gravity.y)) {
    shape.gap_mm = shape.points[last].y - shape.points[first].y;
  } else {
    // The straight line from the bracket that touches the bend from above.
    double slope = -std::numeric_limits<double>::infinity();
    shape.gap_mm = p.moving.y;
    for (std::size_t i = front; i < shape.points.size(); ++i) {
      const Vec2 q = shape.points[i] - p.moving;
      if (i <= last && q.x > p.bend_radius_mm) slope = std::max(slope, q.y / q.x);
      if (i >= last) shape.gap_mm = std::min(shape.gap_mm, shape.points[i].y);
    }
    for (std::size_t i = last; i < shape.points.size() && std::isfinite(slope); ++i) {
      const Vec2 q = shape.points[i] - p.moving;
      shape.sag_mm = std::max(shape.sag_mm, slope * q.x - q.y);
    }
  }
  shape.fixed_force_N = frame.loop(f.start_force_N);
  shape.moving_force_N = frame.loop(f.end_force_N);
  shape.fixed_moment_Nmm = f.start_moment_Nmm;
  shape.moving_moment_Nmm = f.end_moment_Nmm;
  for (const rod::RodContact& c : f.contacts) {
    const double push = glm::length(c.force_N);
    shape.tray_force_N += push;
    shape.floor_force_N = std::max(shape.floor_force_N, push);
  }
}

}  // namespace

bool solve_as_rod(const ChainShapeProblem& p, ChainShape& shape) {
  // Segments must follow the bend, and ends far beyond each other leave nothing to settle.
  constexpr double k_longest_segment = 0.5;  // of the bend radius
  if (p.length_mm > k_longest_segment * k_most_segments * p.bend_radius_mm) return false;
  if (!(p.length_mm > glm::length(p.moving))) return false;
  const double in_plane = glm::length(p.gravity);
  const Turned frame(p.gravity);
  const int segments = std::clamp(static_cast<int>(std::lround(2.0 * p.length_mm / p.pitch_mm)),
                                  k_least_segments, k_most_segments);
  const double weight = p.mass_kg_per_m * in_plane * k_gravity / 1000.0;  // N/mm
  rod::SpatialRodProblem r;
  r.length_mm = p.length_mm;
  r.mass_kg_m = p.mass_kg_per_m * in_plane;
  r.stiffness_Nm2 = k_softness * weight * std::pow(p.length_mm, 3) / 1e6;
  r.end = frame.rod(p.moving);
  r.start_tangent = frame.rod({1.0, 0.0});
  r.space = rod::RodSpace::xz_plane;
  if (p.tray) r.obstacles = {rod::HalfSpace{Vec3(0.0), frame.rod({0.0, 1.0})}};
  r.limits = rod::CurvatureLimits{p.back_radius_mm ? -1000.0 / *p.back_radius_mm : 0.0,
                                  1000.0 / p.bend_radius_mm};
  rod::SpatialRodSolver solver(segments);
  // The joint at the moving bracket turns like any other: first free (its stop may not be needed),
  // then held at the stop's direction by a clamp.
  for (const bool clamped : {false, true}) {
    r.end_tangent.reset();
    if (clamped) r.end_tangent = frame.rod({-1.0, 0.0});
    for (const double bulge : {0.0, 0.1}) {
      const auto start = ideal_start(p, frame, segments, bulge * p.length_mm);
      const rod::RodReport report = solver.solve_from(start, r, {.most_iterations = 200});
      if (!report.converged()) continue;
      const std::vector<Vec3> points = solver.points();
      const Vec2 last = frame.loop(points.back() - points[points.size() - 2]);
      const double turn = std::atan2(std::abs(last.y), -last.x);  // off the bracket's direction
      if (!clamped && !(turn <= p.pitch_mm / p.bend_radius_mm)) continue;
      ChainShape found = shape;
      describe(p, solver, frame, found);
      found.residual = report.residual;
      if (least_gap_to_itself(found.points, p.length_mm, p.bend_radius_mm) <
          p.outer_height_mm - k_length_equal_mm) {
        shape.problem = "its runs would lie on each other, which is not simulated here";
        continue;
      }
      found.status = ChainShapeStatus::balanced;
      found.by_rod = true;
      found.problem.clear();
      shape = std::move(found);
      return true;
    }
  }
  return false;
}

}  // namespace bight::chain::shape_detail
