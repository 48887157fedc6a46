#include "free/line_geometry.h"

#include <algorithm>
#include <cmath>

namespace bight::free {
namespace {

const Vec3 k_up(0.0, 0.0, 1.0);

AffineBox within(AffineBox box, const PoseBox& poses) {
  box.lower = poses.lower;
  box.upper = poses.upper;
  return box;
}

}  // namespace

LineGeometry::LineGeometry(const AnchorPair& pair)
    : pair_(pair), run_(horizontal_difference(pair)), difference_(difference(pair)) {
  start_ = end_ = difference_;
  start_.base = pair.start;
  end_.base = pair.end;
  for (std::size_t i = 0; i < pair.joints.size(); ++i) {
    start_.direction[i] = pair.joints[i].start;
    end_.direction[i] = pair.joints[i].end;
  }
}

EndExtremes LineGeometry::extremes(const PoseBox& box) const {
  const AffineBox run = within(run_, box);
  const AffineBox start = within(start_, box);
  const AffineBox end = within(end_, box);
  const AffineBox difference = within(difference_, box);
  EndExtremes e;
  e.run_least = distance_below(run, image(run, nearest_to_origin(run).pose));
  e.run_most = farthest_from_origin(run).distance_mm;
  e.start_lowest = least_along(start, k_up);
  e.end_lowest = least_along(end, k_up);
  e.start_highest = most_along(start, k_up);
  e.end_highest = most_along(end, k_up);
  const double fall = least_along(difference, k_up);
  const double climb = most_along(difference, k_up);
  e.rise_most = std::max(std::abs(fall), std::abs(climb));
  e.rise_least = fall <= 0.0 && climb >= 0.0 ? 0.0 : std::min(std::abs(fall), std::abs(climb));
  return e;
}

Ends LineGeometry::ends(const Pose& pose) const {
  Ends e{start_at(pair_, pose), end_at(pair_, pose)};
  const Vec3 d = e.end - e.start;
  e.run = std::hypot(d.x, d.y);
  e.rise = d.z;
  return e;
}

Pose LineGeometry::near_and_low(const PoseBox& box) const {
  Pose pose = nearest_to_origin(within(run_, box)).pose;
  for (std::size_t i = 0; i < pose.size(); ++i) {
    if (run_.direction[i] != Vec3(0.0)) continue;
    const double lift = start_.direction[i].z + end_.direction[i].z;
    pose[i] = lift > 0.0 ? box.lower[i] : box.upper[i];
  }
  return pose;
}

Pose LineGeometry::near_and_level(const PoseBox& box) const {
  const Pose near = nearest_to_origin(within(run_, box)).pose;
  AffineBox rise = within(difference_, box);
  rise.base *= k_up;
  for (std::size_t i = 0; i < near.size(); ++i) {
    rise.direction[i] *= k_up;
    if (run_.direction[i] != Vec3(0.0)) rise.lower[i] = rise.upper[i] = near[i];
  }
  return nearest_to_origin(rise).pose;
}

Pose LineGeometry::far_and_steep(const PoseBox& box) const {
  Pose pose = farthest_from_origin(within(run_, box)).pose;
  AffineBox rest = within(difference_, box);
  for (std::size_t i = 0; i < pose.size(); ++i) {
    if (run_.direction[i] != Vec3(0.0)) rest.lower[i] = rest.upper[i] = pose[i];
  }
  const bool climbs = most_along(rest, k_up) >= -least_along(rest, k_up);
  for (std::size_t i = 0; i < pose.size(); ++i) {
    if (run_.direction[i] != Vec3(0.0)) continue;
    pose[i] = (difference_.direction[i].z > 0.0) == climbs ? box.upper[i] : box.lower[i];
  }
  return pose;
}

}  // namespace bight::free
