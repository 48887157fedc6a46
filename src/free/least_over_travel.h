#pragma once
// Certified smallest value of a function over a box of poses, by best-first subdivision: needs a
// lower bound on a sub-box and the value at a pose. Many bounds of hanging lines are exact at once,
// because the horizontal distance and the heights usually depend on different joints.

#include <cmath>
#include <limits>
#include <queue>
#include <vector>

#include "free/anchor_pair.h"

namespace bight::free {

/// A box of poses.
struct PoseBox {
  Pose lower;
  Pose upper;
};

/// What is known on a sub-box: no value there is below `lower`; `candidate` is a pose of it worth
/// trying.
struct BoxBound {
  double lower = 0.0;
  Pose candidate;
};

/// lower <= smallest value <= upper, which is attained at `pose`.
struct CertifiedLeast {
  double lower = 0.0;
  double upper = std::numeric_limits<double>::infinity();
  Pose pose;
};

/// The box of all poses of a pair.
PoseBox all_poses(const AnchorPair& pair);

/// The halves of a box across the joint that moves the anchors most.
std::vector<PoseBox> halves(const AnchorPair& pair, const PoseBox& box);

/// `bound`: PoseBox -> BoxBound, `value`: Pose -> double; both may be infinite. Ends when the
/// bounds differ by at most `tolerance`, or after a number of boxes that no plan comes near; the
/// bounds hold in any case.
template <class Bound, class Value>
CertifiedLeast least_over_travel(const AnchorPair& pair, const Bound& bound, const Value& value,
                                 double tolerance) {
  constexpr std::size_t k_most_boxes = 20'000;
  struct Node {
    double lower = 0.0;
    std::size_t order = 0;  // ties go to the older box: the same answer on every machine
    PoseBox box;
    bool operator<(const Node& other) const {
      return lower != other.lower ? lower > other.lower : order > other.order;
    }
  };
  CertifiedLeast best;
  std::priority_queue<Node> queue;
  std::size_t boxes = 0;
  const auto add = [&](PoseBox box, double parent) {
    BoxBound b = bound(box);
    const double at_candidate = value(b.candidate);
    if (best.pose.empty() || at_candidate < best.upper) {
      best.upper = at_candidate;
      best.pose = std::move(b.candidate);
    }
    queue.push({std::max(b.lower, parent), boxes++, std::move(box)});
  };
  add(all_poses(pair), -std::numeric_limits<double>::infinity());
  while (true) {
    best.lower = std::min(queue.top().lower, best.upper);
    const bool settled = best.upper <= best.lower || best.upper - best.lower <= tolerance;
    if (settled || boxes >= k_most_boxes) return best;
    const Node node = queue.top();
    queue.pop();
    std::vector<PoseBox> parts = halves(pair, node.box);
    if (parts.empty()) {  // a single pose: its value is its bound
      queue.push({best.upper, boxes++, node.box});
      continue;
    }
    for (PoseBox& part : parts) add(std::move(part), node.lower);
  }
}

}  // namespace bight::free
