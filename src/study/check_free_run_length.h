#pragma once
// Is there a length with which a free run works, and is the given one of them? When there is none:
// which anchor to move, and by how much.

#include <string>
#include <vector>

#include "study/free_run.h"
#include "study/study.h"

namespace bight::study {

/// Finding "length window", or none.
std::vector<Finding> check_free_run_length(const Context& context, const FreeRun& run,
                                           const RunWindow& window);

/// What the window says of a run: distances, least and greatest length, the chosen one.
FreeRunFigures window_figures(const FreeRun& run, const RunWindow& window);

/// Of the binding one of some limits.
Certainty certainty_of(const std::vector<free::LengthLimit>& limits);

/// What sets the binding one of some limits, for a person: "droop: ...", "nothing".
std::string limit_reason(const std::vector<free::LengthLimit>& limits);

}  // namespace bight::study
