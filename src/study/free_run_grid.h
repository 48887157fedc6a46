#pragma once
// The poses at which a free run is looked at: a grid over the joints that move its ends against
// each other (they shape the line) and over those that only bring it nearer to something.

#include <cstddef>
#include <vector>

#include "study/context.h"
#include "study/free_run.h"

namespace bight::study {

/// Values of each joint, the home position first; joints that do not matter have one value.
struct PoseGrid {
  std::vector<std::vector<double>> values;
  double step_mm = 0.0;  ///< largest step of a joint between neighbouring poses

  std::size_t size() const;
  std::vector<double> pose(std::size_t index) const;
};

/// At most about so many poses with equal steps along all joints. `approaching`: joints that move
/// the line against something that it can come near to, one entry a joint.
PoseGrid free_run_grid(const Context& context, const FreeRun& run,
                       const std::vector<bool>& approaching, std::size_t poses);
/// With StudyOptions::free_run_poses.
PoseGrid free_run_grid(const Context& context, const FreeRun& run,
                       const std::vector<bool>& approaching);

/// The grid of the joints that shape the line: the others stay at their first value.
PoseGrid shaping_grid(const PoseGrid& grid, const FreeRun& run);

/// Of a joint, between neighbouring poses; 0 when there is one pose.
double largest_step(const PoseGrid& grid);

/// Fewer poses of the same range, for a second look.
PoseGrid coarser(const PoseGrid& grid, std::size_t poses);

}  // namespace bight::study
