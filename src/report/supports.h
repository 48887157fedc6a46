#pragma once
// What overhead supports bear and where they rest over the travel, for a terminal.

#include <string>

#include "plan/plan.h"
#include "study/study.h"

namespace bight::report {

/// A paragraph a support on which lines hang; empty when there is none.
std::string supports_text(const plan::Plan& plan, const study::StudyResult& result);

}  // namespace bight::report
