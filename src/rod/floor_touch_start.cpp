#include "rod/floor_touch_start.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "base/tolerance.h"
#include "rod/spatial_rod.h"

namespace bight::rod {
namespace {

constexpr double k_radians = std::numbers::pi / 180.0;
constexpr int k_segments = 400;
constexpr RodOptions k_newton{.residual = 1e-8, .most_iterations = 400};

Vec3 direction(double degrees) {
  return {std::cos(degrees * k_radians), 0.0, std::sin(degrees * k_radians)};
}

std::optional<Vec3> clamp(const PlanarEnd& end) {
  if (end.kind != EndKind::clamped) return std::nullopt;
  return direction(end.angle_deg);
}

/// Evenly spaced points along a polyline; its last leg is drawn out as far as it takes.
std::vector<Vec3> along(const std::vector<Vec3>& corners, double length) {
  std::vector<Vec3> points;
  std::size_t leg = 1;
  double before = 0.0;
  double here = glm::distance(corners[0], corners[1]);
  for (int i = 0; i <= k_segments; ++i) {
    const double s = length * i / k_segments;
    while (s > before + here && leg + 1 < corners.size()) {
      before += here;
      ++leg;
      here = glm::distance(corners[leg - 1], corners[leg]);
    }
    points.push_back(corners[leg - 1] + (s - before) / here * (corners[leg] - corners[leg - 1]));
  }
  return points;
}

/// Out of the clamp, down to the floor, along it in the tail's direction.
std::vector<Vec3> free_tail_start(const RodOnFloorProblem& problem) {
  const PlanarRodProblem& rod = problem.rod;
  const double weight = rod.mass_kg_m * k_gravity;                       // N/m
  const double lambda = 1000.0 * std::cbrt(rod.stiffness_Nm2 / weight);  // stiffness against weight
  const double tail = direction(rod.at_end.angle_deg).x;
  const bool clamped = rod.at_start.kind == EndKind::clamped;
  const double start = clamped ? rod.at_start.angle_deg : -90.0;
  const bool runs_on = std::abs(rod.at_end.angle_deg - start) <= 135.0;
  const double height = -problem.floor_mm;
  const Vec3 out =
      runs_on ? Vec3(0.2 * lambda * tail, 0.0, -0.1 * height)
              : Vec3(0.5 * lambda * direction(start).x, 0.0, -std::min(0.1 * lambda, 0.5 * height));
  const Vec3 down(out.x, 0.0, -height);
  return along({Vec3(0.0), out, down, down + Vec3(tail, 0.0, 0.0)}, rod.length_mm);
}

/// Angles of the links, without jumps, the first near the start clamp's.
std::vector<double> link_angles(const std::vector<Vec3>& points, const PlanarEnd& start) {
  std::vector<double> angles;
  double last =
      start.kind == EndKind::clamped ? start.angle_deg * k_radians : -0.5 * std::numbers::pi;
  constexpr double k_turn = 2.0 * std::numbers::pi;
  for (std::size_t j = 0; j + 1 < points.size(); ++j) {
    const Vec3 d = points[j + 1] - points[j];
    const double angle = std::atan2(d.z, d.x);
    last = angle + k_turn * std::round((last - angle) / k_turn);
    angles.push_back(last);
  }
  return angles;
}

/// Neighbouring joints that carry something make one stretch; behind the concentrated force at its
/// end a joint or two may carry nothing.
std::vector<TouchStart> stretches(const std::vector<RodContact>& contacts, double length) {
  constexpr double k_spacing = 1.0 / k_segments;
  constexpr double k_gap = 3.5;
  constexpr double k_few = 3.5;
  std::vector<TouchStart> touches;
  for (const RodContact& c : contacts) {
    if (touches.empty() || c.at_mm - touches.back().to_mm > k_gap * k_spacing * length) {
      touches.push_back({c.at_mm, c.at_mm, c.point.x});
    }
    touches.back().to_mm = c.at_mm;
  }
  for (TouchStart& t : touches) {
    t.to_end = t.to_mm > (1.0 - 2.5 * k_spacing) * length;
    t.point = t.to_mm - t.from_mm < (k_few - 0.5) * k_spacing * length;
  }
  return touches;
}

}  // namespace

FloorTouchStart floor_touch_start(const RodOnFloorProblem& problem, ShapeChoice shape) {
  const PlanarRodProblem& rod = problem.rod;
  const bool free = rod.at_end.kind == EndKind::free;
  SpatialRodProblem p{
      .length_mm = rod.length_mm, .mass_kg_m = rod.mass_kg_m, .stiffness_Nm2 = rod.stiffness_Nm2};
  p.end = {rod.end.x, 0.0, rod.end.y};
  p.end_is_free = free;
  p.start_tangent = clamp(rod.at_start);
  p.end_tangent = clamp(rod.at_end);
  p.obstacles = {Floor{problem.floor_mm}};
  p.space = RodSpace::xz_plane;

  FloorTouchStart result;
  std::vector<Vec3> start;
  if (free) {
    start = free_tail_start(problem);
  } else {
    PlanarRodSolver planar(k_segments);
    result.report = shape == ShapeChoice::lowest ? planar.solve_lowest(rod, k_newton)
                                                 : planar.solve_cold(rod, k_newton);
    if (!result.report.converged()) return result;
    for (const Vec2& q : planar.points()) start.emplace_back(q.x, 0.0, q.y);
  }
  SpatialRodSolver solver(k_segments);
  result.report = solver.solve_from(start, p, k_newton);
  if (!result.report.converged()) return result;
  result.angles_rad = link_angles(solver.points(), rod.at_start);
  result.touches = stretches(solver.figures().contacts, rod.length_mm);
  // Pressed into another turn than the clamps', it is not the line that was asked for.
  const bool turned =
      (rod.at_end.kind == EndKind::clamped && rod.at_start.kind == EndKind::clamped) ||
      (free && !result.touches.empty() && result.touches.back().to_end &&
       !result.touches.back().point);
  constexpr double k_half_turn = std::numbers::pi;
  if (turned && !(std::abs(result.angles_rad.back() - rod.at_end.angle_deg * k_radians) <
                  0.9 * k_half_turn)) {
    result.report.status = RodStatus::not_converged;
  }
  return result;
}

}  // namespace bight::rod
