#include "study/check_reach.h"

#include <algorithm>
#include <cmath>

#include "clearance/reach.h"
#include "study/check_clearance.h"
#include "study/context.h"
#include "study/tool_travel.h"

namespace bight::study {
namespace {

Finding describe_shortfall(const Context& context, const plan::WorkArea& area,
                           const clearance::TipShortfall& shortfall,
                           const std::vector<std::size_t>& joints) {
  Finding finding = make_finding("reach", Severity::stop, Certainty::proved, {area.name});
  finding.value = shortfall.distance_mm;
  finding.limit = 0.0;
  finding.what = "the tip stays " + context.length(shortfall.distance_mm) + " short of " +
                 area.name + " at " + point_text(shortfall.farthest, context.unit);
  std::string advice;
  for (std::size_t i = 0; i < joints.size(); ++i) {
    const plan::Joint& joint = context.machine.joints[joints[i]];
    const auto add = [&](double missing, bool low) {
      if (!(missing > 0.0)) return;
      // Rounded outward, so that the new travel is enough.
      const double shown = context.unit == LengthUnit::inch ? 0.001 * k_mm_per_inch : 0.1;
      const double limit = low ? std::floor((joint.travel[0] - missing) / shown + 1e-6) * shown
                               : std::ceil((joint.travel[1] + missing) / shown - 1e-6) * shown;
      advice += (advice.empty() ? "" : ", and ") + joint.name + " has to " +
                (low ? "begin at " : "end at ") + context.length(limit) + " (" +
                context.at_least(missing) + " more travel)";
    };
    add(shortfall.below_mm[i], true);
    add(shortfall.above_mm[i], false);
  }
  if (shortfall.unsupplied_mm > 0.0) {
    advice += std::string(advice.empty() ? "" : "; ") + context.length(shortfall.unsupplied_mm) +
              " of the way no joint moves along";
  }
  finding.advice = advice + ", or move the work area by as much";
  return finding;
}

}  // namespace

ReachCheck check_reach(const Context& context, const ClearanceCheck& clearance_check) {
  ReachCheck check;
  const clearance::BlockedRegion& blocked = clearance_check.blocked;
  const double volume = blocked.travel_volume;
  const double most = std::min(volume, blocked.upper_volume + clearance_check.chains_blocked_upper);
  const double least = std::max(blocked.lower_volume, clearance_check.chains_blocked_lower);
  if (volume > 0.0) {
    check.reach = {volume, volume - most, volume - least, (volume - most) / volume,
                   (volume - least) / volume};
  }

  const machine::Machine& machine = context.machine;
  const std::optional<ToolTravel> tool = tool_travel(machine);
  if (!tool) return check;
  clearance::Travel travel;
  std::vector<std::size_t> joints;
  for (std::size_t j = 0; j < machine.joints.size(); ++j) {
    if (tool->directions[j] == Vec3(0.0)) continue;
    travel.push_back(
        {tool->directions[j], machine.joints[j].travel[0], machine.joints[j].travel[1]});
    joints.push_back(j);
  }
  for (const plan::WorkArea& area : context.plan.work_areas) {
    const Box wanted{glm::min(area.from, area.to), glm::max(area.from, area.to)};
    const clearance::TipShortfall shortfall = clearance::tip_shortfall(tool->tip, travel, wanted);
    if (!shortfall.reached()) {
      check.findings.push_back(describe_shortfall(context, area, shortfall, joints));
    }
  }
  return check;
}

}  // namespace bight::study
