#pragma once
// What swings after a rapid move when a line hangs on a trolley: the line, the one on the other
// side of the trolley, and the trolley that rolls along with them. For study/check_swing.h.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "rod/rapid_swing.h"
#include "study/context.h"
#include "study/free_run.h"
#include "study/run_rod.h"

namespace bight::study {

/// Why the swing of a run on a support that moves is left out, in words; empty: it is not. Only a
/// trolley with one line on one or both of its sides, of one kind, is stepped through time.
std::string swing_left_out(const FreeRun& run);

class TrolleySwing {
 public:
  /// `run` on a trolley for which swing_left_out() is empty, its support as long as the run is.
  TrolleySwing(const Context& context, const FreeRun& run);

  /// True when the trolley's track does not move with the joint.
  bool stands_still_for(std::size_t joint) const;

  /// At rest before and after a move between two poses; the joints of the run's line are watched.
  /// `shape`: of it after the move. Nothing where a line has no shape on the way, or it snaps.
  /// `move` gets the rates of the ends.
  std::optional<rod::SwingStart> between(const free::Pose& before, const free::Pose& after,
                                         std::size_t joint, double sense,
                                         rod::RapidMove& move) const;

  /// Of the trolley between its lines, along its track: small swings, limp lines, half of their
  /// mass. 0 where nothing brings it back.
  double period_s(const free::Pose& pose) const;

  /// How far beyond an end of its track the trolley would run; 0: it stays on it.
  double beyond_mm(const free::Pose& after, const rod::SwingResult& swing) const;

 private:
  struct Side {
    HungSpan span;
    FreeRunRod rod;
  };
  std::optional<std::vector<Vec3>> joints_at(const Side& side, RodShape& near,
                                             const free::Pose& pose) const;
  std::optional<std::vector<Vec3>> chain_at(std::vector<RodShape>& near,
                                            const free::Pose& pose) const;

  const MovingSupport& support_;
  std::vector<Side> sides_;  ///< the other line first, then that of the run
};

}  // namespace bight::study
