#pragma once
// Reach: how much of the travel is free of contact, and whether the tool tip gets where it is
// wanted.

#include <vector>

#include "base/box.h"
#include "clearance/blocked_region.h"
#include "clearance/travel.h"

namespace bight::clearance {

/// Part of the travel without contact: the truth lies between lower and upper.
struct ReachShare {
  double lower_volume = 0.0;  ///< proved free, in units of the travel volume
  double upper_volume = 0.0;  ///< all that is not proved blocked
  double lower_share = 0.0;   ///< of the travel, 0 to 1
  double upper_share = 0.0;
};

ReachShare reach_share(const BlockedRegion& region);

/// What the travel lacks to bring the tip to every point of a wanted box (contact aside).
struct TipShortfall {
  double distance_mm = 0.0;      ///< largest distance of a wanted point from the reachable set
  Vec3 farthest{0.0};            ///< the wanted point that has it
  Vec3 nearest_reachable{0.0};   ///< the tip position nearest to `farthest`
  std::vector<double> below_mm;  ///< a joint: motion missing below its lower end
  std::vector<double> above_mm;  ///< a joint: motion missing above its upper end
  double unsupplied_mm = 0.0;    ///< largest part of a way that no joint moves along

  bool reached(double tolerance_mm = k_length_equal_mm) const {
    return distance_mm <= tolerance_mm;
  }
};

/// `tip` is the tool tip with all joints at zero, `travel` its motion relative to the work,
/// `wanted` a box (or a point) in the frame of the work. The distance to the convex set tip + G q
/// is convex, so its maximum over the box is at a corner: exact. With the joints extended by the
/// missing motion every corner is reached, except for `unsupplied_mm`.
TipShortfall tip_shortfall(const Vec3& tip, const Travel& travel, const Box& wanted);

}  // namespace bight::clearance
