#pragma once
// Check: how one kind of line bends and droops in a free run, the extremes of its rod over the
// travel against what it allows, and what to change.

#include <functional>
#include <vector>

#include "study/free_run.h"
#include "study/free_run_shapes.h"
#include "study/run_rod.h"

namespace bight::study {

/// Whether a run with another length or moved ends keeps clear of everything over its travel.
using KeepsClear = std::function<bool(const FreeRun& run, double length_mm)>;

/// Findings "line bend", "line droop", "line snap", "line sideways", "line shape" and, where the
/// answer depends on a stiffness that was only estimated, "line stiffness". An advice to change the
/// length or an end keeps clear of everything, when `keeps_clear` can be asked.
std::vector<Finding> check_free_run_bend(const Context& context, const FreeRun& run,
                                         const RunWindow& window, const RunRod& line,
                                         const FreeRunShapes& shapes, const RodExtremes& extremes,
                                         const KeepsClear& keeps_clear = {});

}  // namespace bight::study
