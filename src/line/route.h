#pragma once
// Length of a line clipped along points, with rounded corners.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/vec.h"

namespace bight::line {

struct RouteProblem {
  std::vector<Vec3> points_mm;      ///< at least two; first and last are the ends
  double bend_radius_mm = 0.0;      ///< of the centre line at every corner
  double smallest_radius_mm = 0.0;  ///< what the line allows for its centre line; 0: not checked
};

enum class RouteStatus {
  ok,
  leg_too_short,     ///< the rounded corners at its ends need more length than it has
  doubles_back,      ///< a corner turns by 180 deg: no radius rounds it
  radius_too_small,  ///< bend_radius < smallest_radius and there is a corner
  invalid,           ///< fewer than two points, a point repeated, or a number not finite
};

/// A bend: arc of `bend_radius` about `centre` from `from` to `to`.
struct RouteBend {
  std::size_t corner = 0;  ///< index of the point that it rounds
  double angle = 0.0;      ///< turning angle, rad
  Vec3 from{0.0};
  Vec3 to{0.0};
  Vec3 centre{0.0};
};

/// sharp_mm is set unless invalid; the rest only when ok or radius_too_small.
struct RouteResult {
  RouteStatus status = RouteStatus::ok;
  std::string problem;     ///< one sentence with the leg or corner and by how much; empty when ok
  double sharp_mm = 0.0;   ///< sum of the legs
  double length_mm = 0.0;  ///< with rounded corners
  std::vector<RouteBend> bends;  ///< corners that turn, in order
  std::size_t leg = 0;           ///< leg_too_short: from point `leg` to `leg` + 1
  double missing_mm = 0.0;       ///< leg_too_short: what that leg lacks; radius_too_small: radius
};

/// length = sum of legs + sum over corners of r a - 2 r tan(a/2); each leg must hold the tangents
/// r tan(a/2) of its corners (elementary geometry).
RouteResult measure_route(const RouteProblem& problem);

/// Points along the centre line for drawing, arcs within `chord_error_mm`; empty unless the route
/// has a shape (ok or radius_too_small).
std::vector<Vec3> route_polyline(const RouteProblem& problem, const RouteResult& route,
                                 double chord_error_mm = 0.1);

}  // namespace bight::line
