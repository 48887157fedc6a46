#pragma once
// How a line turns from one leg of its run into the next, over the travel: for the checks of the
// bends there. A leg that hangs without a direction is taken as a limp line, in the directions that
// it has at a grid of poses.

#include <cstddef>
#include <string>
#include <vector>

#include "study/context.h"

namespace bight::study {

/// What gives a line its direction where a leg ends.
enum class LegGuide {
  clipped,  ///< the clips along its last straight
  held,     ///< the bracket of a chain or a clamp: right at the end, with no straight before it
  hanging,  ///< nothing: it is free to turn there
};

/// One side of a turn.
struct TurnSide {
  LegGuide guide = LegGuide::hanging;
  double straight_mm = 0.0;  ///< clipped: between the end and the bend next to it
  bool whole_leg = false;    ///< clipped: it is the whole leg, also at its other end
};

/// 0 degrees: the line goes straight on; 180: it turns back on itself.
struct LegTurn {
  const plan::Run* run = nullptr;
  std::size_t leg = 0;  ///< index of the one before the turn
  std::string where;    ///< "from leg 1 (clipped to ground) into leg 2 (in Y chain)"
  TurnSide before;
  TurnSide after;
  std::string hold;          ///< anchor or support where a hanging side turns; empty: none hangs
  double angle_deg = 0.0;    ///< the largest of those looked at
  std::vector<double> pose;  ///< empty: the same at every pose
  std::size_t poses = 0;     ///< sampled
  double step_mm = 0.0;      ///< of a joint, largest between neighbours
};

/// Of all runs that a line takes. `free_runs` say how long the free legs are.
std::vector<LegTurn> leg_turns(const Context& context,
                               const std::vector<FreeRunFigures>& free_runs);

}  // namespace bight::study
