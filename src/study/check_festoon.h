#pragma once
// Check: a free leg that is a festoon: room for its stack, reach, depth and bend of its loops, pull
// at its tow, load on its track, and what its loops come near to.

#include <vector>

#include "study/free_run.h"
#include "study/mover.h"
#include "study/raised_chain.h"

namespace bight::study {

struct FestoonCheck {
  std::vector<Finding> findings;
  FreeRunFigures run;
  SupportFigures support;  ///< its coordinate: distance of two trolleys
};

/// Loops are limp and level (free/support_festoon.h), equal for what they come near to, deeper by
/// what friction can add. Bends are those of a rod of the line's stiffness between two saddles
/// where the loops are narrowest. Sampled over the travel of its tow, closer where a margin is
/// small (study/free_run_refine.h), the nearest poses refined to 1 mm.
FestoonCheck check_festoon_run(const Context& context, const FreeRun& run,
                               const std::vector<Mover>& movers,
                               const std::vector<RaisedChain>& raised);

}  // namespace bight::study
