#pragma once
// One loop of a festoon as a run of its own: for its shape, its swing and its picture.

#include "free/support_festoon.h"
#include "study/free_run.h"

namespace bight::study {

/// Loop `index` from saddle to saddle; the trolleys share the way to the tow equally.
FreeRun festoon_loop(const FreeRun& run, const free::FestoonProblem& row, int index);

}  // namespace bight::study
