#pragma once
// How the loops of a festoon swing after a rapid move. For study/check_festoon.h.

#include <vector>

#include "free/support_festoon.h"
#include "study/check_swing.h"
#include "study/free_run.h"
#include "study/free_run_clearance.h"
#include "study/swing_system.h"

namespace bight::study {

/// All lines of a festoon on their trolleys, which roll freely and bounce off each other, off the
/// fixed end and off the tow.
class FestoonSwing : public SwingSystem {
 public:
  /// All loops of all lines are watched.
  FestoonSwing(const Context& context, const FreeRun& run, const free::FestoonProblem& row);

  bool moved_by(std::size_t joint) const override;
  std::optional<rod::SwingStart> between(const free::Pose& before, const free::Pose& after,
                                         std::size_t joint, double sense) const override;
  /// All trolleys to and fro between fixed end and tow.
  double period_s(const free::Pose& pose) const override;
  double beyond(const free::Pose&, const rod::SwingResult&) const override { return 0.0; }

 private:
  free::AnchorPair row_ends_;
  free::FestoonProblem row_;
  Vec3 along_;
  rod::Bumper bumper_;
  std::vector<SwingRod> rods_;  ///< the loops of one kind of line, then those of the next
};

/// A pose at which the loops come nearest to something.
struct LoopApproach {
  LineTarget target;
  std::vector<double> pose;
};

/// While the tow moves, cords between the trolleys may keep their distances equal (common
/// practice): then a loop's ends move by their share of the way, and the loop nearest to each thing
/// is stepped through time. Without cords the trolleys roll freely, and all loops are, each as
/// thick as the thickest line, at the three nearest things. The worse of both counts.
SwingCheck check_festoon_swing(const Context& context, const FreeRun& run,
                               const free::FestoonProblem& row,
                               const std::vector<LoopApproach>& approaches);

}  // namespace bight::study
