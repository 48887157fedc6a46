#include "study/reach_map.h"

#include "study/check_clearance.h"
#include "study/context.h"
#include "study/mover.h"
#include "study/tool_travel.h"

namespace bight::study {

ReachMap make_reach_map(const plan::Plan& plan, const machine::Machine& machine, double cell_mm,
                        const StudyOptions& options) {
  const Context context{plan, machine, options, plan.inches ? LengthUnit::inch : LengthUnit::mm};
  ReachMap result;
  result.map.defined = false;
  const std::optional<ToolTravel> tool = tool_travel(machine);
  if (!tool) return result;

  const std::vector<Mover> movers = make_movers(context);
  std::vector<clearance::MovingPair> pairs;
  for (std::size_t i = 0; i < movers.size(); ++i) {
    for (std::size_t k = i + 1; k < movers.size(); ++k) {
      if (movers[i].is_chain || movers[k].is_chain) continue;
      if (!pair_travel(context, movers[i], movers[k])) continue;
      if (touching_by_design(context, movers[i], movers[k])) continue;
      pairs.push_back(moving_pair(movers[i], movers[k]));
      result.blocked_by.push_back(movers[i].owner + " - " + movers[k].owner);
    }
  }
  // The bed under all positions of the tip.
  Vec2 low(tool->tip);
  Vec2 high(tool->tip);
  std::vector<clearance::JointRange> joints;
  for (std::size_t j = 0; j < machine.joints.size(); ++j) {
    const auto& travel = machine.joints[j].travel;
    joints.push_back({travel[0], travel[1]});
    const Vec2 a = Vec2(tool->directions[j]) * travel[0];
    const Vec2 b = Vec2(tool->directions[j]) * travel[1];
    low += glm::min(a, b);
    high += glm::max(a, b);
  }
  result.map = clearance::map_bed(tool->tip, tool->directions, joints, pairs,
                                  {.from = low, .to = high, .cell_mm = cell_mm},
                                  {.threads = options.threads, .progress = options.progress});
  return result;
}

}  // namespace bight::study
