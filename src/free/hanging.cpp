#include "free/hanging.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/check.h"
#include "free/line_geometry.h"

namespace bight::free {
namespace {

constexpr double k_infinity = std::numeric_limits<double>::infinity();

/// Z of the lowest point; a line that does not reach counts as straight.
double lowest_z(double run, double start_z, double end_z, double length) {
  const rod::Catenary c = rod::solve_catenary({run, end_z - start_z, length, 1.0});
  return c.has_shape() ? start_z + c.lowest.y : std::min(start_z, end_z);
}

double greatest_pull(double run, double rise, double length, double mass) {
  const rod::Catenary c = rod::solve_catenary({run, rise, length, mass});
  return c.has_shape() ? std::max(c.tension_start_N, c.tension_end_N) : k_infinity;
}

}  // namespace

HangingShape hang_at(const AnchorPair& anchors, const Pose& pose, double length_mm,
                     double mass_kg_m, int segments) {
  BIGHT_CHECK(segments >= 1);
  HangingShape shape;
  const Ends ends = LineGeometry(anchors).ends(pose);
  const rod::CatenaryProblem problem{ends.run, ends.rise, length_mm, mass_kg_m};
  shape.catenary = rod::solve_catenary(problem);
  if (!shape.catenary.has_shape()) return shape;
  const Vec3 d = ends.end - ends.start;
  const Vec3 along =
      ends.run > 0.0 ? Vec3(d.x / ends.run, d.y / ends.run, 0.0) : Vec3(1.0, 0.0, 0.0);
  const auto in_space = [&](const Vec2& p) {
    return ends.start + p.x * along + Vec3(0.0, 0.0, p.y);
  };
  for (int i = 0; i <= segments; ++i) {
    shape.points.push_back(
        in_space(rod::catenary_point(problem, shape.catenary, length_mm * i / segments)));
  }
  shape.lowest = in_space(shape.catenary.lowest);
  return shape;
}

LowestOverTravel lowest_over_travel(const AnchorPair& anchors, double length_mm,
                                    double tolerance_mm) {
  const LineGeometry geometry(anchors);
  const auto bound = [&](const PoseBox& box) {
    const EndExtremes e = geometry.extremes(box);
    return BoxBound{lowest_z(e.run_least, e.start_lowest, e.end_lowest, length_mm),
                    geometry.near_and_low(box)};
  };
  const auto value = [&](const Pose& pose) {
    const Ends e = geometry.ends(pose);
    return lowest_z(e.run, e.start.z, e.end.z, length_mm);
  };
  const CertifiedLeast least = least_over_travel(anchors, bound, value, tolerance_mm);
  const rod::Catenary straightest =
      rod::solve_catenary({farthest(anchors).distance_mm, 0.0, length_mm, 1.0});
  return {least.lower, least.upper, least.pose, straightest.has_shape()};
}

PullOverTravel pull_over_travel(const AnchorPair& anchors, double length_mm, double mass_kg_m,
                                double tolerance_N) {
  const LineGeometry geometry(anchors);
  const auto bound = [&](const PoseBox& box) {
    const EndExtremes e = geometry.extremes(box);
    return BoxBound{-greatest_pull(e.run_most, e.rise_most, length_mm, mass_kg_m),
                    geometry.far_and_steep(box)};
  };
  const auto value = [&](const Pose& pose) {
    const Ends e = geometry.ends(pose);
    return -greatest_pull(e.run, e.rise, length_mm, mass_kg_m);
  };
  const CertifiedLeast least = least_over_travel(anchors, bound, value, tolerance_N);
  return {-least.upper, -least.lower, least.pose};
}

}  // namespace bight::free
