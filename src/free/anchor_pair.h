#pragma once
// The two ends of a free line over a box of poses, and the exact extremes of their distance.
// All joints are linear, so the vector from start to end is affine in the pose: its length is
// convex, the farthest pose is a corner of the joint box and the nearest one solves a
// box-constrained least-squares problem.

#include <optional>
#include <vector>

#include "base/vec.h"

namespace bight::free {

/// How one joint moves the two anchors, mm per unit of the joint.
struct JointMotion {
  Vec3 start{0.0};
  Vec3 end{0.0};
  double lower = 0.0;
  double upper = 0.0;
};

/// Joint values, one a joint.
using Pose = std::vector<double>;

/// Anchors with all joints at zero; Z is up. A direction is the unit tangent with which the line
/// leaves that anchor into the free part (clamped); absent: pinned.
struct AnchorPair {
  Vec3 start{0.0};
  Vec3 end{0.0};
  std::optional<Vec3> start_direction;
  std::optional<Vec3> end_direction;
  std::vector<JointMotion> joints;
};

Vec3 start_at(const AnchorPair& pair, const Pose& pose);
Vec3 end_at(const AnchorPair& pair, const Pose& pose);

/// A distance (mm) and a pose where it is attained.
struct ExtremePose {
  double distance_mm = 0.0;
  Pose pose;
};

/// Farthest straight distance: exact, since a convex function is greatest at a corner.
ExtremePose farthest(const AnchorPair& pair);

/// Nearest straight distance: exact, by trying every face of the joint box on which the optimum
/// can lie (at most three independent free joints).
ExtremePose nearest(const AnchorPair& pair);

/// The same for the horizontal distance.
ExtremePose farthest_horizontally(const AnchorPair& pair);
ExtremePose nearest_horizontally(const AnchorPair& pair);

/// All corners of the joint box; joints that do not move either anchor stay at their lower limit.
std::vector<Pose> corner_poses(const AnchorPair& pair);

}  // namespace bight::free
