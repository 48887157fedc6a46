#include "free/anchor_pair.h"

#include "free/affine_box.h"

namespace bight::free {

Vec3 start_at(const AnchorPair& pair, const Pose& pose) {
  Vec3 at = pair.start;
  for (std::size_t i = 0; i < pair.joints.size(); ++i) at += pose[i] * pair.joints[i].start;
  return at;
}

Vec3 end_at(const AnchorPair& pair, const Pose& pose) {
  Vec3 at = pair.end;
  for (std::size_t i = 0; i < pair.joints.size(); ++i) at += pose[i] * pair.joints[i].end;
  return at;
}

ExtremePose farthest(const AnchorPair& pair) {
  return farthest_from_origin(difference(pair));
}

ExtremePose nearest(const AnchorPair& pair) {
  return nearest_to_origin(difference(pair));
}

ExtremePose farthest_horizontally(const AnchorPair& pair) {
  return farthest_from_origin(horizontal_difference(pair));
}

ExtremePose nearest_horizontally(const AnchorPair& pair) {
  return nearest_to_origin(horizontal_difference(pair));
}

std::vector<Pose> corner_poses(const AnchorPair& pair) {
  std::vector<Pose> poses(1);
  for (const JointMotion& j : pair.joints) {
    const bool moves = (j.start != Vec3(0.0) || j.end != Vec3(0.0)) && j.lower < j.upper;
    const std::size_t count = poses.size();
    for (std::size_t i = 0; i < count; ++i) {
      if (moves) {
        poses.push_back(poses[i]);
        poses.back().push_back(j.upper);
      }
      poses[i].push_back(j.lower);
    }
  }
  return poses;
}

}  // namespace bight::free
