#pragma once
// Where else a hook or bracket on the ground could be so that its hanging line has a length that
// works: coarse to fine over the surface that it is on now, under the ceiling and level with where
// it is now.

#include <string>
#include <vector>

#include "study/free_run.h"

namespace bight::study {

struct HookSearchOptions {
  double window_mm = 20.0;  ///< window asked for: a tape overhead is read to 10 mm either way
  double step_mm = 10.0;    ///< places are multiples of it
  std::size_t places = 12;  ///< at most, of each surface
};

struct HookPlace {
  Vec3 at{0.0};
  double moved_mm = 0.0;
  double length_mm = 0.0;  ///< the least that works there, rounded up to 10 mm
  std::string where;       ///< "along left wall", "under ceiling", "level with where it is now"
};

/// Places whose window of length is wide enough, surface after surface in the order above, nearest
/// first, spread from the nearest to the farthest. `start`: the start of the run moves, else its
/// end; that end has to be on the ground.
std::vector<HookPlace> find_hook_places(const Context& context, const FreeRun& run, bool start,
                                        const HookSearchOptions& options = {});

}  // namespace bight::study
