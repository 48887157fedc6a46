#pragma once
// How near a free run comes to the parts of the machine and its surroundings: proved clear where
// the outer bound on where a line can be allows it, sampled with local refinement for the rest.

#include <string>
#include <vector>

#include "study/free_run.h"
#include "study/mover.h"

namespace bight::study {

/// Nearest approach of the line's surface to one mover. `distance_mm` is negative when the line
/// passes through it.
struct LineApproach {
  const Mover* mover = nullptr;
  double distance_mm = 0.0;
  double wanted_mm = 0.0;
  bool at_start = false;  ///< the start of the line is fastened to the mover
  bool at_end = false;
  std::vector<double> pose;
};

struct FreeRunClearance {
  std::vector<LineApproach> approaches;  ///< of movers that were sampled, nearest first
  std::size_t proved = 0;                ///< movers proved clear over the whole travel
  std::size_t poses = 0;                 ///< sampled poses of the grid
  double step_mm = 0.0;                  ///< largest step of a joint between neighbouring poses
};

/// The line hangs as a catenary of the given length and diameter. Parts that the leg may touch are
/// left out; a part to which an end is fastened only must not be touched, away from that end.
FreeRunClearance free_run_clearance(const Context& context, const FreeRun& run, double length_mm,
                                    double diameter_mm, const std::vector<Mover>& movers);

/// True when the same line, or one of another length or with moved anchors, keeps the wanted
/// distance at the poses of all approaches. Cheap: for trying a change before it is checked in
/// full.
bool keeps_clear_at(const FreeRun& run, double length_mm, double diameter_mm,
                    const std::vector<LineApproach>& approaches);

}  // namespace bight::study
