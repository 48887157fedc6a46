#pragma once
// How the joints move the tool tip over the work.

#include <optional>
#include <vector>

#include "clearance/travel.h"
#include "machine/machine.h"

namespace bight::study {

struct ToolTravel {
  Vec3 tip{0.0};                 ///< with all joints at zero
  std::vector<Vec3> directions;  ///< of the tip relative to the work, one entry a joint
};

/// Nothing when the plan has no tool. The work is on the body that most of the joints which move
/// the work move, else on the ground.
std::optional<ToolTravel> tool_travel(const machine::Machine& machine);

}  // namespace bight::study
