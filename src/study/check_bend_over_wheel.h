#pragma once
// Check: the bend of a line over the wheel of a pulley or on the drum of a retractor. It runs over
// it as the machine moves, so the radius has to be one that the line allows when it moves.

#include <vector>

#include "study/context.h"

namespace bight::study {

std::vector<Finding> check_bends_over_wheels(const Context& context);

}  // namespace bight::study
