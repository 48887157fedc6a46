#pragma once
// The blocked region: the joint values at which parts touch or cross, followed down to a
// resolution, with a proof for every box of joint values that is called free or blocked.
//
// Contact of A (moved by t) and B is t in B + (-A), and t is linear in the joints. So the joint box
// is cut into columns along one joint, and along a column the poses with contact follow from
// triangle pairs in closed form (contact_column.h) instead of from a search over cells.

#include <cstddef>
#include <cstdint>
#include <limits>
#include <span>
#include <vector>

#include "base/progress.h"
#include "base/tolerance.h"
#include "clearance/moving_pair.h"

namespace bight::clearance {

struct BlockedOptions {
  /// mm of motion: a box of joint values stays undecided only when its sides are no longer than
  /// this, or when it is thinner than half of this along the column joint.
  double resolution_mm = k_blocked_resolution_mm;
  std::size_t cell_limit = 4'000'000;  ///< stop refining when about so many boxes are held
  double time_limit_s = std::numeric_limits<double>::infinity();  ///< wall clock
  unsigned threads = 0;                                           ///< 0: default_threads()
  Progress* progress = nullptr;                                   ///< steps: columns; may be null
};

enum class CellState : std::uint8_t {
  blocked,   ///< proved: contact at every pose of the box, by one pair
  undecided  ///< rim: contact at some poses, or not settled at the resolution
};

/// A box of joint values that is not proved free.
struct BlockedCell {
  std::vector<JointRange> box;  ///< one range a joint
  CellState state = CellState::undecided;
  std::vector<std::uint32_t>
      pairs;  ///< blocked: the pair that proves it; undecided: all pairs not proved free
};

/// Why the refinement ended. All but `complete` leave the bounds true, only wider.
enum class Completion : std::uint8_t { complete, cell_limit, time_limit, cancelled };

/// Every pose of the joint box outside `cells` is free of contact for all pairs. Cells do not
/// overlap (they share faces). Volumes are products of the joints' lengths, where a joint with
/// lower == upper counts as 1: mm^3 for three joints.
struct BlockedRegion {
  std::vector<BlockedCell> cells;
  double travel_volume = 0.0;
  double lower_volume = 0.0;     ///< proved blocked
  double upper_volume = 0.0;     ///< all that is not proved free
  std::vector<JointRange> hull;  ///< smallest box around the cells; empty when all is free
  Completion completion = Completion::complete;
  std::uint64_t columns = 0;     ///< columns examined
  std::uint64_t leaf_pairs = 0;  ///< triangle pairs solved

  bool all_free() const { return cells.empty(); }
};

/// Follows the region in which at least one pair touches or crosses. Same result for any number of
/// threads (unless the time limit or a cancel ends it). Each pair has as many directions as there
/// are joints.
BlockedRegion find_blocked_region(std::span<const MovingPair> pairs,
                                  std::span<const JointRange> joints,
                                  const BlockedOptions& options = {});

}  // namespace bight::clearance
