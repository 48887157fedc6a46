#pragma once
// Swing of a free line after a rapid move that stops at a pose where the line is near something.

#include <vector>

#include "study/check_free_run_bend.h"
#include "study/free_run_clearance.h"

namespace bight::study {

/// Largest swing left after a rapid move of one joint, at the poses of the approaches. All 0 when
/// no joint that moves the line has a known speed and acceleration, or the line does not hang in a
/// vertical plane.
struct SwingCheck {
  double amplitude_mm = 0.0;  ///< upper bound without damping
  double period_s = 0.0;      ///< of the slowest mode, at the same pose
  std::vector<double> pose;
  std::vector<Finding> findings;  ///< "swing": reaches what it keeps clear of at standstill
};
SwingCheck check_swing(const Context& context, const FreeRun& run, const RunRod& line,
                       const std::vector<LineApproach>& approaches);

}  // namespace bight::study
