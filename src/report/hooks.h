#pragma once
// The map of places for hooks and posts: for a terminal and as JSON.

#include <string>
#include <vector>

#include "plan/plan.h"
#include "study/hook_place.h"

namespace bight::report {

/// One option: each map as characters with a scale, then the best place, its length and margin.
std::string hooks_text(const plan::Plan& plan, const study::HookMaps& maps);

/// All options, one map result each.
std::string hooks_json(const std::vector<plan::Plan>& plans,
                       const std::vector<study::HookMaps>& maps);

}  // namespace bight::report
