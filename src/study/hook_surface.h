#pragma once
// The surfaces on which a hook, a bracket or the post of a boom could be put up, and whether the
// way to a place leads through something solid.

#include <string>
#include <vector>

#include "base/box.h"
#include "study/free_run.h"

namespace bight::study {

/// A plane across `axis`, and the stretch of it that is looked at.
struct HookSurface {
  int axis = 2;
  double level = 0.0;
  Box area;           ///< flat: both its corners lie at `level`
  std::string where;  ///< "along left wall", "under ceiling", "level with where it is now"
};

/// For one end of a run that is on the ground: the wall or ceiling that it is on, the ceiling over
/// the travel of the other end (the lowest part of the surroundings there), and the plane level
/// with where it is when it is on no ceiling; around the travel of the other end. None lies above
/// [rules] highest_hook.
std::vector<HookSurface> hook_surfaces(const Context& context, const FreeRun& run, bool start);

/// True when a hold can go straight from one place to another: not through a part that stands still
/// (taken as its bounding box; one that holds `from` already does not count) and not above [rules]
/// highest_hook.
bool can_be_held_at(const Context& context, const Vec3& from, const Vec3& to);

}  // namespace bight::study
