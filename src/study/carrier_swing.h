#pragma once
// What swings after a rapid move when a line hangs on a support that gives way: the line, the one
// on its other side, and what carries them or lets them slide. For study/check_swing.h.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "rod/rapid_swing.h"
#include "study/context.h"
#include "study/free_run.h"
#include "study/run_rod.h"

namespace bight::study {

/// Why the swing of a run on a support that moves is left out, in words; empty: it is not. Only
/// supports with one line on one or both sides, of one kind, are stepped through time.
std::string swing_left_out(const FreeRun& run);

class CarrierSwing {
 public:
  /// `run` on a support for which swing_left_out() is empty, its support as long as the run is.
  CarrierSwing(const Context& context, const FreeRun& run);

  /// At rest before and after a move between two poses; the joints of the run's line are watched.
  /// Nothing where a line has no stable shape.
  /// `move` gets the rates of the ends.
  std::optional<rod::SwingStart> between(const free::Pose& before, const free::Pose& after,
                                         std::size_t joint, double sense,
                                         rod::RapidMove& move) const;

  /// Of the support between its lines, along its track, about its post, below its cord, or of what
  /// slides over it: small swings, limp lines, half of their mass. 0 where nothing brings it back.
  double period_s(const free::Pose& pose) const;

  /// How far beyond an end of its range the support would go, in the unit of its coordinate; 0: it
  /// stays within.
  double beyond(const free::Pose& after, const rod::SwingResult& swing) const;

 private:
  struct Side {
    std::size_t index = 0;  ///< among all lines on the support
    HungSpan span;
    FreeRunRod rod;
  };
  std::optional<rod::SwingStart> between(const free::Pose& before, const free::Pose& after,
                                         std::size_t joint, double sense, rod::RapidMove& move,
                                         std::size_t links) const;
  std::optional<std::vector<Vec3>> joints_at(const Side& side, RodShape& near,
                                             const free::Pose& pose, std::size_t links) const;
  std::optional<std::vector<Vec3>> chain_at(std::vector<RodShape>& near, const free::Pose& pose,
                                            std::size_t links) const;

  Vec3 place(const free::Pose& pose) const;
  double length_mm(const Side& side, const free::Pose& pose) const;
  double tail_kg(double length_mm) const;
  rod::Sheave sheave(double length_mm, double slid_mm) const;

  const MovingSupport& support_;
  std::vector<Side> sides_;  ///< the other line first, then that of the run
};

}  // namespace bight::study
