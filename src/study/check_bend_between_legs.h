#pragma once
// Check: the bend where one leg of a run goes over into the next.
//
// Between clips, brackets of chains and clamps ("bend between legs") the turn needs a bend of the
// radius that the line allows where it is fixed: R tan(angle / 2) of straight on both sides, as at
// a corner of a clipped leg. A bracket or clamp has no straight to give, so the clipped side gives
// both halves. Where a side is free to turn ("bend at a hold") the line is laid over something or
// tied: the radius there has to be one that it allows when it moves.

#include <vector>

#include "study/leg_turn.h"

namespace bight::study {

std::vector<Finding> check_bends_between_legs(const Context& context,
                                              const std::vector<LegTurn>& turns);

}  // namespace bight::study
