#pragma once
// The bed map of a plan: for each cell of the bed how low the tool tip gets before anything
// touches.

#include "clearance/bed_map.h"
#include "study/study.h"

namespace bight::study {

struct ReachMap {
  clearance::BedMap map;  ///< in the frame of the work; not defined when the plan has no tool
  std::vector<std::string> blocked_by;  ///< of each pair of the map: "router - clamp rear left"
};

/// Over all points that the joints give the tip, in cells of the given size. Parts that touch by
/// design are left out; chains are not in it, since their shape changes with the pose: the check
/// has them.
ReachMap make_reach_map(const plan::Plan& plan, const machine::Machine& machine, double cell_mm,
                        const StudyOptions& options = {});

}  // namespace bight::study
