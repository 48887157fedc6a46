#pragma once
// Check: what each overhead support bears over the travel, and whether one that rests where its
// lines put it stays inside its range.

#include <memory>
#include <vector>

#include "study/free_run.h"
#include "study/free_run_grid.h"

namespace bight::study {

/// A support as its lines were found to be long.
struct HungSupport {
  std::shared_ptr<const MovingSupport> support;
  PoseGrid grid;  ///< of the joints that shape its runs
};

struct SupportCheck {
  std::vector<Finding> findings;  ///< "support range", "support load"
  SupportFigures figures;
};

/// Rests at the poses of the grid, closer where the range or the load could run out between them
/// (study/free_run_refine.h), with friction both extremes too; the load is the sum of the
/// forces of all lines at one pose, and the weight of a trolley. Sampled.
SupportCheck check_moving_support(const Context& context, const HungSupport& hung);

/// "support load", or none: against [[support]] max_load.
std::vector<Finding> check_load(const SupportFigures& figures, std::vector<std::string> things);

}  // namespace bight::study
