#pragma once
// Trolley that rolls freely on a straight track and carries the line: where it comes to rest, and
// how far rolling friction lets it stay off. For free runs hung from a rail.
//
// The energy is that of the spans and the trolley's weight on a sloping track. With limp lines it
// is strictly convex in the coordinate (free/support_span.h), so the force along the track falls:
// one balance, by bisection. The trolley stays where |force along the track| <= coefficient x
// normal load (Coulomb; the rolling coefficient is taken as one of friction, common practice).

#include <vector>

#include "free/support_rest.h"

namespace bight::free {

struct TrolleyProblem {
  Vec3 origin{0.0};     ///< place of the line's hold at coordinate 0
  Vec3 direction{0.0};  ///< of the track; any length > 0
  double lower_mm = 0.0;
  double upper_mm = 0.0;
  double mass_kg = 0.0;           ///< of the trolley
  double rolling_friction = 0.0;  ///< >= 0; infinite: locked (a fixed hook anywhere in the range)
  std::vector<SupportSpan>
      spans;  ///< at least one: to the machine, and from the supply if it hangs
};

/// Coordinate: mm along the track.
SupportResult rest_of_trolley(const TrolleyProblem& problem, LineModel& model);

}  // namespace bight::free
