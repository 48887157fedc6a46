#pragma once
// Hook with the line running over a pulley or a smooth bow: how much of the line is on the
// machine's side. To a weight that hangs on the other side, to a tie-off, or onto a retractor of
// constant pull.
//
// The coordinate is the length of the free run. Balance at the pulley: pull of the run = pull of
// the other side, without friction; with friction they differ by at most the factor exp(mu theta),
// theta the angle of wrap (Euler 1769, Eytelwein 1808: the capstan). The pulley's radius is taken
// as small against the run.
//
// The pull of a run of given ends falls from infinity as it gets longer, is least once and then
// grows with its own weight. So there can be a second balance, unstable, beyond which the run pulls
// the rest of the line over; and none at all when the other side pulls too little: it runs out.
// Hence the scan; other stable rests that it finds are listed.

#include <vector>

#include "free/support_rest.h"

namespace bight::free {

/// Line of `line_mm` in all, from the anchor over the pulley down to a weight; it hangs straight
/// down. The range is that of the run: the weight stays below the pulley by `least_tail_mm` and
/// above the floor by `most_tail_mm`.
struct WeightedPulleyProblem {
  Vec3 pulley{0.0};
  SupportSpan run;  ///< its length is the unknown; the one given is not used
  double line_mm = 0.0;
  double weight_kg = 0.0;
  double least_tail_mm = 0.0;
  double most_tail_mm = 0.0;
  double friction = 0.0;  ///< mu >= 0
};

/// Line of `line_mm` in all from the anchor over the pulley to a tie-off, hanging on both sides.
struct TiedPulleyProblem {
  Vec3 pulley{0.0};
  SupportSpan run;
  Vec3 tie_off{0.0};
  double line_mm = 0.0;
  double friction = 0.0;  ///< mu >= 0
};

/// Drum that pulls the line in with a constant force; what is not paid out lies on it.
struct RetractorProblem {
  Vec3 place{0.0};
  SupportSpan run;
  double pull_N = 0.0;      ///< > 0
  double friction_N = 0.0;  ///< the pull is less by this going in and more going out, >= 0
  double least_mm = 0.0;    ///< paid out when fully in, > 0
  double most_mm = 0.0;     ///< when fully out
};

/// Coordinate: length of the run, mm. `low` is the shortest run at which it can stay, `high` the
/// longest. The tie-off's span is the second one of the result.
SupportResult rest_of_pulley(const WeightedPulleyProblem& problem, LineModel& model);
SupportResult rest_of_pulley(const TiedPulleyProblem& problem, LineModel& model);
SupportResult rest_of_retractor(const RetractorProblem& problem, LineModel& model);

}  // namespace bight::free
