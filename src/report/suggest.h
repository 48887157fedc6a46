#pragma once
// What `bight suggest` found, as text and as JSON.

#include <string>
#include <vector>

#include "base/units.h"
#include "plan/plan.h"
#include "study/suggest.h"

namespace bight::report {

const char* to_text(study::SuggestStatus status);

/// One option: what to change, what the check then says, what was tried in vain.
std::string suggest_text(const study::Suggestion& suggestion, LengthUnit unit);

/// All of them (docs/json.md).
std::string suggest_json(const std::string& file,
                         const std::vector<study::Suggestion>& suggestions);

}  // namespace bight::report
