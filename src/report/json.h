#pragma once
// The study as JSON with stable keys (docs/json.md), for scripts and for everything that builds on
// the command line. Lengths are mm whatever the plan's unit; a pose is an object of joint values by
// joint name; what is not known or not bounded is null.

#include <string>
#include <vector>

#include "plan/plan.h"
#include "study/study.h"

namespace bight::report {

/// All options of one plan in one document.
std::string check_json(const plan::Plan& plan, const std::vector<study::StudyResult>& results);

/// Only cut lengths and purchases.
std::string lengths_json(const plan::Plan& plan, const std::vector<study::StudyResult>& results);

}  // namespace bight::report
