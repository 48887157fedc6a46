#include "study/suggest_quick.h"

#include <algorithm>

#include "base/tolerance.h"
#include "study/free_run_clearance.h"
#include "study/free_run_shapes.h"
#include "study/run_rod.h"

namespace bight::study {
namespace {

constexpr std::size_t k_poses = 30;

}  // namespace

QuickLook::QuickLook(const Context& context, const Finding& finding)
    : context_(context), finding_(finding) {
  if (finding.check != "free line clearance") return;
  for (Mover& mover : make_movers(context)) {
    const bool named = std::find(finding.things.begin(), finding.things.end(), mover.owner) !=
                       finding.things.end();
    if (named) near_.push_back(std::move(mover));
  }
}

bool QuickLook::may_mend(const FreeRun& changed, double length_mm) const {
  if (changed.festoon != nullptr || !(length_mm > 0.0)) return true;
  if (finding_.check == "free line clearance") return keeps_away(changed, length_mm);
  if (finding_.check == "line bend" || finding_.check == "line droop") {
    return bends_and_hangs(changed, length_mm);
  }
  return true;
}

bool QuickLook::keeps_away(const FreeRun& changed, double length_mm) const {
  const std::vector<RunRod> rods = rods_of(context_, changed, length_mm);
  double diameter = 0.0;
  for (const RunRod& rod : rods) diameter = std::max(diameter, rod.article->outside_diameter);
  const LineTargets targets = line_targets(context_, changed, length_mm, diameter, near_, {});
  if (targets.targets.empty()) return true;
  const PoseGrid grid = coarser(
      free_run_grid(context_, changed, approaching_joints(changed, targets.targets)), k_poses);
  return std::all_of(rods.begin(), rods.end(), [&](const RunRod& rod) {
    const FreeRunShapes shapes = free_run_shapes(
        context_, make_rod(changed, rod.rod, home_pose(context_)), shaping_grid(grid, changed));
    const auto approaches =
        line_approaches(context_, shapes, grid, rod.article->outside_diameter, targets.targets);
    return std::none_of(approaches.begin(), approaches.end(), [](const LineApproach& a) {
      return a.distance_mm <= 0.0 || a.distance_mm < a.target.wanted_mm;
    });
  });
}

bool QuickLook::bends_and_hangs(const FreeRun& changed, double length_mm) const {
  const std::optional<double> keep_above = changed.run->legs[changed.leg].keep_above;
  const PoseGrid grid = coarser(
      free_run_grid(context_, changed, std::vector<bool>(context_.machine.joints.size(), false)),
      k_poses);
  for (const RunRod& rod : rods_of(context_, changed, length_mm)) {
    if (std::find(finding_.things.begin(), finding_.things.end(), rod.line->name) ==
        finding_.things.end()) {
      continue;
    }
    const FreeRunShapes shapes = free_run_shapes(
        context_, make_rod(changed, rod.rod, home_pose(context_)), shaping_grid(grid, changed));
    for (const RodShape& shape : shapes.shapes) {
      if (!shape.converged()) continue;
      if (finding_.check == "line bend" &&
          shape.radius_mm < rod.allowed_radius_mm - k_length_equal_mm) {
        return false;
      }
      if (finding_.check == "line droop" && keep_above &&
          shape.lowest.z < *keep_above - k_length_equal_mm) {
        return false;
      }
    }
  }
  return true;
}

}  // namespace bight::study
