#pragma once
// Results of computations laid over a scene: findings, bed map, blocked region, hook map, paths of
// poses.

#include <span>
#include <vector>

#include "clearance/blocked_region.h"
#include "free/hook_map.h"
#include "machine/machine.h"
#include "plan/plan.h"
#include "scene/scene.h"
#include "study/reach_map.h"
#include "study/study.h"

namespace bight::picture {

/// Marks the things of a finding and, for a clearance, draws the nearest points with a dimension
/// line that reads the distance. The scene must have been built at the finding's pose. With the
/// plan, a finding about a run marks the lines that hang there.
void add_finding(scene::Scene& scene, const plan::Plan& plan, const machine::Machine& machine,
                 const study::StudyResult& result, const study::Finding& finding);
void add_finding(scene::Scene& scene, const machine::Machine& machine,
                 const study::StudyResult& result, const study::Finding& finding);

/// The smallest distance of a pair at its pose: witness points and dimension line.
void add_witness(scene::Scene& scene, const study::ClearancePair& pair);

/// How low the tool gets over each cell, painted on the plane Z = `level_mm` in the frame of the
/// work moved by `work_translation`.
void add_reach_map(scene::Scene& scene, const study::ReachMap& map, double level_mm,
                   const Vec3& work_translation = Vec3(0.0));

/// Boxes of joint values in which something touches, as places of the tool tip.
void add_blocked_region(scene::Scene& scene, const machine::Machine& machine,
                        const clearance::BlockedRegion& region);

/// The region in which parts touch, chains left out, as the check of the clearances follows it.
clearance::BlockedRegion blocked_region_of(const plan::Plan& plan, const machine::Machine& machine,
                                           const study::StudyOptions& options = {});

/// Windows of length over a ceiling or wall; `hold` is the name of what is hung there.
void add_hook_map(scene::Scene& scene, const std::string& hold, const free::HookMap& map,
                  const free::HookArea& area);

/// The way of the tool tip through poses.
void add_path(scene::Scene& scene, const machine::Machine& machine,
              std::span<const std::vector<double>> poses);

/// How far the work is from where it is with all joints at zero; zero without a tool.
Vec3 work_translation(const machine::Machine& machine, const std::vector<double>& pose);

/// Z on which a map of the bed is painted: the top of the stock, else of the lowest work area, else
/// the lowest place of the tip.
double work_level(const plan::Plan& plan, const machine::Machine& machine);

/// Where the tool tip is, as seen in the frame of the plan, at a pose; the origin without a tool.
Vec3 tip_at(const machine::Machine& machine, const std::vector<double>& pose);

}  // namespace bight::picture
