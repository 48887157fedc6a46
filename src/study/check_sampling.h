#pragma once
// Check: what was sampled and is not settled, since a limit could be passed between two of its
// poses. Said as a note beside the verdict, which rests on the poses that were looked at.

#include <vector>

#include "study/context.h"
#include "study/study.h"

namespace bight::study {

/// Of chains, free runs and supports of a result.
std::vector<Finding> check_sampling(const Context& context, const StudyResult& result);

}  // namespace bight::study
