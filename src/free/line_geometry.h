#pragma once
// What the shape of a limp line depends on, over a box of poses: the horizontal distance of its
// ends and their heights. Shared by everything that bounds hanging lines over a travel.

#include "free/affine_box.h"
#include "free/anchor_pair.h"
#include "free/least_over_travel.h"

namespace bight::free {

/// Bounds over a box of poses, to rounding. The heights are separate extremes: not all of these are
/// attained at one pose, which only makes bounds wider.
struct EndExtremes {
  double run_least = 0.0;  ///< horizontal distance
  double run_most = 0.0;
  double start_lowest = 0.0;  ///< Z
  double end_lowest = 0.0;
  double start_highest = 0.0;
  double end_highest = 0.0;
  double rise_least = 0.0;  ///< |end Z - start Z|
  double rise_most = 0.0;
};

/// The ends at one pose.
struct Ends {
  Vec3 start{0.0};
  Vec3 end{0.0};
  double run = 0.0;   ///< horizontal distance
  double rise = 0.0;  ///< end Z - start Z
};

/// Affine images of the joint box that the extremes are taken from; made once a pair.
class LineGeometry {
 public:
  explicit LineGeometry(const AnchorPair& pair);

  EndExtremes extremes(const PoseBox& box) const;
  Ends ends(const Pose& pose) const;

  /// Poses that attain run_least and run_most; joints that do not change the run are put where
  /// they lower or level (near) or spread (far) the ends.
  Pose near_and_low(const PoseBox& box) const;
  Pose near_and_level(const PoseBox& box) const;
  Pose far_and_steep(const PoseBox& box) const;

 private:
  const AnchorPair& pair_;
  AffineBox run_;
  AffineBox start_;
  AffineBox end_;
  AffineBox difference_;
};

}  // namespace bight::free
