#pragma once
// The bed map as text and as JSON.

#include <string>
#include <vector>

#include "plan/plan.h"
#include "study/reach_map.h"
#include "study/study.h"

namespace bight::report {

/// Share of the travel, findings of the check "reach", and the map: one number a cell, rows from
/// the far side to the near one as a person sees the bed.
std::string reach_text(const plan::Plan& plan, const study::StudyResult& result,
                       const study::ReachMap& map);

/// Options with reach and map; heights that are not bounded are null.
std::string reach_json(const plan::Plan& plan, const std::vector<study::StudyResult>& results,
                       const std::vector<study::ReachMap>& maps);

}  // namespace bight::report
