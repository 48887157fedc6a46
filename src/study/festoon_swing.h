#pragma once
// How the loops of a festoon swing after a rapid move. For study/check_festoon.h.

#include <vector>

#include "free/support_festoon.h"
#include "study/check_swing.h"
#include "study/free_run.h"
#include "study/free_run_clearance.h"

namespace bight::study {

/// A pose at which the loops come nearest to something.
struct LoopApproach {
  LineTarget target;
  std::vector<double> pose;
};

/// While the tow moves, the trolleys keep equal distances: a loop's ends move by their share of the
/// way (common practice: cords between trolleys tow them so; how trolleys that run free catch up
/// and collide is not computed). The loop nearest to each thing is stepped through time.
SwingCheck check_festoon_swing(const Context& context, const FreeRun& run,
                               const free::FestoonProblem& row,
                               const std::vector<LoopApproach>& approaches);

}  // namespace bight::study
