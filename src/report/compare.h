#pragma once
// The comparison of a plan's options as a table for a person (options as columns) and as JSON.

#include <string>

#include "plan/plan.h"
#include "study/compare.h"

namespace bight::report {

/// `plan` gives unit, name and currency. Margins are positive to the good side; the worst of a row
/// is marked "<". Below the table stand every stop, every finding to act on and what the worst
/// margins belong to.
std::string compare_text(const plan::Plan& plan, const study::Comparison& comparison);

/// docs/json.md.
std::string compare_json(const plan::Plan& plan, const study::Comparison& comparison);

}  // namespace bight::report
