#include "line/route.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/number.h"
#include "base/tolerance.h"

namespace bight::line {
namespace {

/// rad. Below it a corner is straight: the detour that a bend saves is under 1e-20 of its radius.
constexpr double k_straight_angle = 1e-7;
/// rad. A corner nearer than this to 180 deg doubles back: its tangents would be a million radii.
constexpr double k_doubling_angle = 1e-6;

double turning_angle(const Vec3& in, const Vec3& out) {
  return std::atan2(glm::length(glm::cross(in, out)), glm::dot(in, out));
}

std::string point_name(std::size_t index) {
  return "point " + std::to_string(index + 1);
}

RouteResult refused(RouteResult result, RouteStatus status, std::string problem) {
  result.status = status;
  result.problem = std::move(problem);
  return result;
}

/// Tangent length that each corner takes from both of its legs; ends take none.
std::vector<double> tangent_lengths(const std::vector<double>& angles, double radius) {
  std::vector<double> tangents(angles.size(), 0.0);
  for (std::size_t i = 0; i < angles.size(); ++i) {
    if (angles[i] > k_straight_angle) tangents[i] = radius * std::tan(0.5 * angles[i]);
  }
  return tangents;
}

RouteBend bend_at(const RouteProblem& p, std::size_t corner, double angle, double tangent) {
  const Vec3& at = p.points_mm[corner];
  const Vec3 in = glm::normalize(at - p.points_mm[corner - 1]);
  const Vec3 out = glm::normalize(p.points_mm[corner + 1] - at);
  const Vec3 to_centre = glm::normalize(out - in);
  return {corner, angle, at - tangent * in, at + tangent * out,
          at + to_centre * (p.bend_radius_mm / std::cos(0.5 * angle))};
}

}  // namespace

RouteResult measure_route(const RouteProblem& problem) {
  RouteResult result;
  const std::vector<Vec3>& points = problem.points_mm;
  const double radius = problem.bend_radius_mm;
  if (points.size() < 2 || !std::all_of(points.begin(), points.end(), is_finite)) {
    return refused(result, RouteStatus::invalid, "a route needs two points or more, all finite");
  }
  if (!(std::isfinite(radius) && radius >= 0.0) || !(problem.smallest_radius_mm >= 0.0)) {
    return refused(result, RouteStatus::invalid, "a bend radius is negative or not a number");
  }
  std::vector<double> legs;
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    legs.push_back(glm::length(points[i + 1] - points[i]));
    if (!(legs.back() > 0.0)) {
      return refused(result, RouteStatus::invalid,
                     point_name(i) + " and " + point_name(i + 1) + " are the same");
    }
    result.sharp_mm += legs.back();
  }

  std::vector<double> angles(points.size(), 0.0);
  for (std::size_t i = 1; i + 1 < points.size(); ++i) {
    angles[i] = turning_angle(points[i] - points[i - 1], points[i + 1] - points[i]);
    if (!(angles[i] < std::numbers::pi - k_doubling_angle)) {
      return refused(result, RouteStatus::doubles_back,
                     "the route doubles back at " + point_name(i) + ": no radius rounds it");
    }
  }
  const std::vector<double> tangents = tangent_lengths(angles, radius);
  for (std::size_t i = 0; i < legs.size(); ++i) {
    const double missing = tangents[i] + tangents[i + 1] - legs[i];
    if (missing > std::max(k_length_equal_mm, result.missing_mm)) {
      result.leg = i;
      result.missing_mm = missing;
    }
  }
  if (result.missing_mm > 0.0) {
    return refused(result, RouteStatus::leg_too_short,
                   "the leg from " + point_name(result.leg) + " to " + point_name(result.leg + 1) +
                       " is " + fixed(legs[result.leg], 1) + " mm long; its corners of radius " +
                       shortest(radius) + " mm need " + fixed(result.missing_mm, 1) + " mm more");
  }

  result.length_mm = result.sharp_mm;
  for (std::size_t i = 1; i + 1 < points.size(); ++i) {
    if (!(angles[i] > k_straight_angle)) continue;
    result.length_mm += radius * angles[i] - 2.0 * tangents[i];
    result.bends.push_back(bend_at(problem, i, angles[i], tangents[i]));
  }
  result.missing_mm = problem.smallest_radius_mm - radius;
  if (!result.bends.empty() && !(result.missing_mm <= k_length_equal_mm)) {
    return refused(result, RouteStatus::radius_too_small,
                   "the corners are rounded to " + shortest(radius) + " mm; the line allows " +
                       shortest(problem.smallest_radius_mm) + " mm or more");
  }
  result.missing_mm = 0.0;
  return result;
}

std::vector<Vec3> route_polyline(const RouteProblem& problem, const RouteResult& route,
                                 double chord_error_mm) {
  if (route.status != RouteStatus::ok && route.status != RouteStatus::radius_too_small) return {};
  std::vector<Vec3> line{problem.points_mm.front()};
  const double radius = problem.bend_radius_mm;
  for (const RouteBend& bend : route.bends) {
    const double ratio = std::clamp(chord_error_mm / std::max(radius, chord_error_mm), 1e-6, 1.0);
    const double step = 2.0 * std::acos(1.0 - ratio);
    const int pieces = std::max(1, static_cast<int>(std::ceil(bend.angle / step)));
    const Vec3 from = bend.from - bend.centre;
    const Vec3 forward = problem.points_mm[bend.corner] - bend.from;
    const double tangent = glm::length(forward);
    line.push_back(bend.from);
    for (int k = 1; k < pieces && tangent > 0.0; ++k) {
      const double a = bend.angle * k / pieces;
      line.push_back(bend.centre + std::cos(a) * from + (std::sin(a) * radius / tangent) * forward);
    }
    line.push_back(bend.to);
  }
  line.push_back(problem.points_mm.back());
  return line;
}

}  // namespace bight::line
