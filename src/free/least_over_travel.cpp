#include "free/least_over_travel.h"

namespace bight::free {

PoseBox all_poses(const AnchorPair& pair) {
  PoseBox box;
  for (const JointMotion& j : pair.joints) {
    box.lower.push_back(j.lower);
    box.upper.push_back(j.upper);
  }
  return box;
}

std::vector<PoseBox> halves(const AnchorPair& pair, const PoseBox& box) {
  double most = 0.0;
  std::size_t widest = 0;
  for (std::size_t i = 0; i < pair.joints.size(); ++i) {
    const JointMotion& j = pair.joints[i];
    const double effect =
        (box.upper[i] - box.lower[i]) * (glm::length(j.start) + glm::length(j.end));
    if (effect > most) {
      most = effect;
      widest = i;
    }
  }
  if (!(most > 0.0)) return {};
  const double middle = 0.5 * (box.lower[widest] + box.upper[widest]);
  std::vector<PoseBox> parts(2, box);
  parts[0].upper[widest] = middle;
  parts[1].lower[widest] = middle;
  return parts;
}

}  // namespace bight::free
