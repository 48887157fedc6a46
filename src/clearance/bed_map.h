#pragma once
// Bed map: how low the tool tip gets over each cell of the bed before anything touches.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "base/progress.h"
#include "base/vec.h"
#include "clearance/blocked_region.h"

namespace bight::clearance {

/// Rectangle of the bed in the frame of the work, cut into square cells (the last row and column
/// may reach beyond `to`).
struct BedGrid {
  Vec2 from{0.0};         ///< mm
  Vec2 to{0.0};           ///< mm
  double cell_mm = 10.0;  ///< > 0
};

/// The tip comes down from the top of the travel, straight along Z, at every point of a cell that
/// the travel covers. For each such point the lowest height reached without contact lies in
/// [lower, upper]; so `upper` is proved clear over the whole cell.
/// +infinity: contact already at the top (upper: not excluded; lower: proved).
struct BedHeight {
  double lower_mm = 0.0;
  double upper_mm = 0.0;
  bool covered = false;    ///< some point of the cell is within the travel; else both are +infinity
  bool by_travel = false;  ///< the end of the travel stops the tip, contact is excluded
  std::uint32_t pair = 0;  ///< where not by_travel: the pair with the highest contact
};

struct BedMapOptions {
  unsigned threads = 0;          ///< 0: default_threads()
  Progress* progress = nullptr;  ///< steps: cells; may be null
};

struct BedMap {
  BedGrid grid;
  std::size_t columns = 0;                       ///< cells along X
  std::size_t rows = 0;                          ///< cells along Y
  std::vector<BedHeight> cells;                  ///< cell (column, row) at row * columns + column
  Completion completion = Completion::complete;  ///< cancelled: cells not done are not covered
  /// false: the joints that matter do not move the tip along three independent directions, so a
  /// height over the bed does not fix the pose; then no cell is filled.
  bool defined = true;
};

/// `tip` is the tool tip with all joints at zero and `directions` its motion relative to the work
/// per unit of each joint, in the frame of the work; the pairs move by the same joints. Same result
/// for any number of threads.
BedMap map_bed(const Vec3& tip, std::span<const Vec3> directions,
               std::span<const JointRange> joints, std::span<const MovingPair> pairs,
               const BedGrid& grid, const BedMapOptions& options = {});

}  // namespace bight::clearance
