#pragma once
// What a hanging line comes too near to over its travel, and what would keep it away.

#include <vector>

#include "study/free_run_clearance.h"
#include "study/run_rod.h"

namespace bight::study {

/// "free line clearance" for each thing that the line comes too near to; "line stiffness" where
/// that depends on a stiffness which was only estimated. An advice was tried over the whole `grid`.
std::vector<Finding> check_free_run_near(const Context& context, const FreeRun& run,
                                         const RunWindow& window, const RunRod& line,
                                         const FreeRunRod& solver, const PoseGrid& grid,
                                         const std::vector<LineTarget>& targets,
                                         const std::vector<LineApproach>& approaches,
                                         const FreeRunFigures& figures);

/// Raised chains among the targets whose shape is not known at every pose: nothing keeps the line
/// away from them there.
std::vector<Finding> check_unknown_chains(const Context& context, const FreeRun& run,
                                          const std::vector<LineTarget>& targets,
                                          const std::vector<Finding>& found);

}  // namespace bight::study
