#pragma once
// Check: can the rapid rate of a joint be meant? It is given in mm/min; one written in another unit
// makes every stop short and every swing small.

#include <vector>

#include "study/context.h"

namespace bight::study {

/// Finding "speed" of each joint with a rapid rate below 60 mm/min: 1 mm a second is less than any
/// machine's rapid rate (common practice), but common in mm/s or m/min.
std::vector<Finding> check_speeds(const Context& context);

}  // namespace bight::study
