#pragma once
// Festoon: trolleys in a row on a level track with equal loops of line between them, from a fixed
// end to a towed one. Spacing and depth of the loops over the travel, and the room of the stack.
//
// Each loop is a catenary with level ends: span(H) = 2 (H/w) asinh(w l / 2H) grows with its pull H,
// which is the slope of a strictly convex energy. Without friction every free trolley balances
// equal pulls, so all loops are equal: the unique minimum. With friction a trolley holds a
// difference of c x (weight of a loop and the trolley): towing out, the pull grows by that from
// loop to loop towards the tow (the loops next to it stretch first); pushing in, it falls. Trolleys
// that touch pass on a push. The sum of the spans rises with the pull of the first loop: one root.

namespace bight::free {

struct FestoonProblem {
  int loops = 0;                  ///< >= 1; loops - 1 free trolleys
  double loop_mm = 0.0;           ///< length of line in a loop, > 0
  double mass_kg_m = 0.0;         ///< of all that hangs in it, > 0
  double pitch_stacked_mm = 0.0;  ///< distance of trolleys that touch, > saddle
  double saddle_mm = 0.0;         ///< width on a trolley that carries the line, >= 0
  double trolley_kg = 0.0;        ///< >= 0
  double rolling_friction = 0.0;  ///< >= 0
  double nearest_mm = 0.0;        ///< distance of fixed end and tow at both ends of the travel
  double farthest_mm = 0.0;
};

enum class FestoonStatus {
  fits,
  no_room_to_stack,  ///< `outside_by_mm`: the stack is longer than the nearest distance
  too_short,         ///< `outside_by_mm`: the loops together are shorter than the farthest one
  invalid
};

/// Spacing of trolleys and depth of loops below the saddles; both ends of the row may hold either.
struct FestoonAt {
  double tow_mm = 0.0;
  double pitch_mm = 0.0;  ///< without friction, all the same
  double depth_mm = 0.0;
  double pull_N = 0.0;          ///< at the tow, without friction
  double least_pitch_mm = 0.0;  ///< with friction, over both directions of motion
  double most_pitch_mm = 0.0;
  double least_depth_mm = 0.0;
  double most_depth_mm = 0.0;
  double most_pull_N = 0.0;  ///< at the tow, going out
};

/// Needs 0 < tow_mm within the stack and what the loops reach; else pitch_mm is not a number.
FestoonAt festoon_at(const FestoonProblem& problem, double tow_mm);

/// `nearest` and `farthest` are set when the status is fits. The depth is greatest at the nearest
/// and least at the farthest place.
struct FestoonResult {
  FestoonStatus status = FestoonStatus::invalid;
  double outside_by_mm = 0.0;
  double stacked_mm = 0.0;        ///< loops x pitch_stacked
  double shortest_loop_mm = 0.0;  ///< that reaches the farthest place, straight
  FestoonAt nearest;
  FestoonAt farthest;
};
FestoonResult check_festoon(const FestoonProblem& problem);

}  // namespace bight::free
