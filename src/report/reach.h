#pragma once
// The bed map as text and as JSON.

#include <string>
#include <vector>

#include "plan/plan.h"
#include "study/reach_map.h"
#include "study/study.h"

namespace bight::report {

/// Verdict, share of the travel, findings that stop or concern the reach, and the map: one number a
/// cell, rows from the far side to the near one as a person sees the bed.
std::string reach_text(const plan::Plan& plan, const study::StudyResult& result,
                       const study::ReachMap& map);

/// Options with verdict, findings, reach and map (docs/json.md); heights that are not bounded are
/// null.
std::string reach_json(const plan::Plan& plan, const std::vector<study::StudyResult>& results,
                       const std::vector<study::ReachMap>& maps);

}  // namespace bight::report
