#include "free/support_window.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "base/tolerance.h"

namespace bight::free {
namespace {

constexpr double k_degree = std::numbers::pi / 180.0;

/// The direction within the stops nearest to the one wanted.
double within_stops(const BoomReach& boom, double wanted_deg) {
  if (boom.upper_deg - boom.lower_deg >= 360.0) return wanted_deg;
  const double middle = 0.5 * (boom.lower_deg + boom.upper_deg);
  const double half = 0.5 * (boom.upper_deg - boom.lower_deg);
  return middle + std::clamp(std::remainder(wanted_deg - middle, 360.0), -half, half);
}

Vec3 tip_towards(const Vec3& post, const BoomReach& boom, const Vec3& anchor) {
  const Vec3 d = anchor - post;
  const double deg = within_stops(boom, std::atan2(d.y, d.x) / k_degree);
  return post + boom.radius_mm * Vec3(std::cos(deg * k_degree), std::sin(deg * k_degree), 0.0);
}

/// Every pose of a grid with both limits of each joint that moves the end.
std::vector<Pose> grid_of_end(const AnchorPair& anchors, int steps) {
  std::vector<Pose> poses(1);
  for (const JointMotion& j : anchors.joints) {
    const int count = j.end != Vec3(0.0) && j.lower < j.upper ? steps : 0;
    std::vector<Pose> next;
    for (const Pose& pose : poses) {
      for (int i = 0; i <= count; ++i) {
        next.push_back(pose);
        next.back().push_back(count == 0 ? j.lower : j.lower + (j.upper - j.lower) * i / count);
      }
    }
    poses = std::move(next);
  }
  return poses;
}

/// Keeps the tighter of two limits of a kind; `pose` is where `found` holds.
void keep(std::vector<LengthLimit>& limits, LengthLimit found, const Pose& pose, bool at_least) {
  found.pose = pose;
  found.certainty = Certainty::estimated;
  const auto same = std::find_if(limits.begin(), limits.end(), [&](const LengthLimit& l) {
    return l.kind == found.kind && l.counts == found.counts;
  });
  if (same == limits.end()) {
    limits.push_back(std::move(found));
  } else if (at_least ? found.length_mm > same->length_mm : found.length_mm < same->length_mm) {
    *same = std::move(found);
  }
}

void binding_first(std::vector<LengthLimit>& limits, bool at_least) {
  std::stable_sort(limits.begin(), limits.end(), [&](const auto& a, const auto& b) {
    if (a.counts != b.counts) return a.counts;
    return at_least ? a.length_mm > b.length_mm : a.length_mm < b.length_mm;
  });
}

}  // namespace

WindowAt hook_window(const AnchorPair& anchors, bool moves_start, const HangingLine& line,
                     const WindowOptions& options) {
  return [=](const Vec3& place) {
    AnchorPair moved = anchors;
    (moves_start ? moved.start : moved.end) = place;
    return length_window(moved, line, options);
  };
}

WindowAt boom_window(const AnchorPair& anchors, const BoomReach& boom, const HangingLine& line,
                     const WindowOptions& options) {
  return [=](const Vec3& place) {
    Window whole;
    const bool valid = boom.radius_mm >= 0.0 && std::isfinite(boom.radius_mm) &&
                       std::isfinite(boom.lower_deg) && std::isfinite(boom.upper_deg) &&
                       boom.lower_deg <= boom.upper_deg && boom.steps_per_joint >= 1;
    if (!valid) return whole;
    whole.nearest.distance_mm = std::numeric_limits<double>::infinity();
    whole.max_mm = std::numeric_limits<double>::infinity();
    for (const Pose& pose : grid_of_end(anchors, boom.steps_per_joint)) {
      const Vec3 end = end_at(anchors, pose);
      const AnchorPair still{tip_towards(place, boom, end), end, {}, anchors.end_direction, {}};
      const Window here = length_window(still, line, options);
      if (here.status == WindowStatus::invalid) return Window{};
      for (const LengthLimit& l : here.at_least) keep(whole.at_least, l, pose, true);
      for (const LengthLimit& l : here.at_most) keep(whole.at_most, l, pose, false);
      whole.min_mm = std::max(whole.min_mm, here.min_mm);
      whole.max_mm = std::min(whole.max_mm, here.max_mm);
      const double distance = here.farthest.distance_mm;
      if (distance > whole.farthest.distance_mm || whole.farthest.pose.empty()) {
        whole.farthest = {distance, pose};
      }
      if (distance < whole.nearest.distance_mm) whole.nearest = {distance, pose};
    }
    binding_first(whole.at_least, true);
    binding_first(whole.at_most, false);
    const bool open =
        whole.min_mm <= whole.max_mm + k_length_equal_mm && std::isfinite(whole.min_mm);
    whole.status = open ? WindowStatus::open : WindowStatus::closed;
    if (open) {
      whole.recommended_mm = length_to_cut(whole.min_mm, std::max(whole.min_mm, whole.max_mm));
    }
    return whole;
  };
}

}  // namespace bight::free
