#pragma once
// The window of length of a free run that hangs on a support which rests where its lines put it, or
// that is a festoon. Sampled: limp lines, at five places of each joint that shapes the run, then
// closer and closer, down to 2 mm, around the poses that set the limits.

#include "free/support_festoon.h"
#include "study/free_run.h"

namespace bight::study {

/// Long enough: the support reaches, the wanted slack is left, the pull is allowed, the weight does
/// not meet the pulley, the festoon's loops reach. Short enough: above keep_above, the weight above
/// the floor. Both are taken to hold from one length on. Of a retractor: the least that it must let
/// out; what it has is the length. Other legs on the support have the lengths that the plan gives.
RunWindow support_window(const Context& context, const FreeRun& run);

/// The row of a festoon with a line of the run as long as all loops together.
free::FestoonProblem festoon_problem(const Context& context, const FreeRun& run, double length_mm);

}  // namespace bight::study
