#pragma once
// Check: what hits what, over the whole travel, proved. Parts against parts and chains against
// parts.

#include <vector>

#include "clearance/blocked_region.h"
#include "study/mover.h"
#include "study/study.h"

namespace bight::study {

struct ClearanceCheck {
  std::vector<Finding> findings;
  std::vector<ClearancePair> pairs;    ///< all checked pairs, nearest first
  std::vector<TouchingPair> touching;  ///< left out by the plan's word
  /// Of all pairs of parts in contact, joints in the machine's order; then bounds of the volume
  /// that chains in contact block (may overlap with it).
  clearance::BlockedRegion blocked;
  double chains_blocked_lower = 0.0;
  double chains_blocked_upper = 0.0;
};

/// Distances of all pairs of movers over the whole travel (computation A), and the blocked region
/// of those that touch.
ClearanceCheck check_clearance(const Context& context, const std::vector<Mover>& movers);

/// Pairs of movers that may meet in the blocked region: both there over the whole travel (no pieces
/// of chains).
clearance::MovingPair moving_pair(const Mover& a, const Mover& b);

}  // namespace bight::study
