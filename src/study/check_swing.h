#pragma once
// Swing of a free line after a rapid move that stops at a pose where the line is near something.

#include <vector>

#include "study/free_run_clearance.h"
#include "study/run_rod.h"
#include "study/swing_system.h"

namespace bight::study {

/// In words, for FreeRunFigures::swing_left_out.
inline constexpr const char* k_not_followed = "it could not be followed through a move";

struct SwingCheck {
  double amplitude_mm = 0.0;
  double period_s = 0.0;  ///< of the slowest mode, at the same pose
  std::vector<double> pose;
  bool not_followed = false;      ///< at some approach: no shape, or steps that did not settle
  std::vector<Finding> findings;  ///< "swing": reaches what it keeps clear of at standstill
};

/// Farther away than twice what the line swings at the nearest approaches: it does not get there.
bool is_too_far(const LineApproach& approach, double swing_mm);

/// Largest swing left after a rapid move of one joint that stops at the pose of an approach, in the
/// line's plane or across it: the rod stepped through time (rod/rod_motion.h), over that
/// part of the way to the pose which leaves the most by the line's modes, and over that after which
/// a slower support swings most. Bad moves, not a bound: others may be worse. No damping, no
/// friction. On a support that gives way all that hangs on it moves too: `system`; null: both ends
/// of the line go where the machine takes them. All 0 when no joint that moves the line has a known
/// speed and acceleration.
SwingCheck check_swing(const Context& context, const FreeRun& run, const RunRod& line,
                       const std::vector<LineApproach>& approaches, const SwingSystem* system);

}  // namespace bight::study
