#pragma once
// Limit switches: at which value of its joint a switch trips, whether that is so at every pose of
// the other joints and nowhere inside the soft travel, and whether the machine then stops in time.
//
// The switch feels with a sphere (its roller; a point when the radius is 0) and the actuator is a
// box. Seen from the actuator the sphere's centre goes through c + G q, so the switch is pressed
// where that point is within the radius of the box. Both the box grown by the radius and the range
// of the other joints are convex; hence, with s the guarded joint's value counted towards its end,
//   - the first value s at which the switch is pressed is a convex function of the other joints:
//     its largest value over their box, and whether it exists at all, is decided at corners;
//   - its smallest value is where the zonotope {c + G' q'} of the other joints, pushed along the
//     joint, first comes within the radius of the box.
// Both are found to rounding, no pose is sampled. Of the other joints the whole way between their
// hard stops counts, since a switch must work before the machine has been homed.

#include <array>
#include <optional>
#include <vector>

#include "machine/machine.h"

namespace bight::machine {

/// What can be wrong with a switch, most serious first.
enum class SwitchFault {
  no_motion,        ///< the joint does not move the switch against its actuator
  missed,           ///< at some pose of the other joints it is never pressed
  wrong_side,       ///< it is pressed only at or behind the far end of the soft travel
  trips_in_travel,  ///< at some pose it is pressed within the soft travel, limits included
  trips_past_stop,  ///< at some pose it trips at the hard stop or behind it
  rides_over,       ///< at some pose it is free again before the hard stop
  stops_too_late,   ///< from rapid speed the hard stop, or the switch's overtravel, comes first
  crushed_at_stop,  ///< driven on to the hard stop, the switch goes past its overtravel
};

/// All joint values in mm of the guarded joint. `trip` and what follows from it have a value
/// exactly when the switch can be pressed at every pose of the other joints.
struct SwitchTrip {
  std::size_t joint = 0;
  std::vector<SwitchFault> faults;  ///< in the order of the enumeration; empty: all is well

  /// Smallest and largest joint value at which it trips on the way to its end, over the other
  /// joints; equal when these do not matter.
  std::optional<std::array<double, 2>> trip;
  /// Where it is free again, driving on: the value nearest to the trip over the other joints.
  std::optional<double> released;
  /// Of wrong_side: where it trips there and where it is free again, driving towards its end.
  std::optional<std::array<double, 2>> pressed_behind;
  double soft_limit = 0.0;
  std::optional<double> hard_stop;
  std::optional<double> before_trip;  ///< from the soft limit to the earliest trip; negative inside
  std::optional<double> after_trip;   ///< from the latest trip to the hard stop; negative past it
  std::optional<double> stopping;     ///< v^2/(2 a) from rapid speed
  /// How far the switch is pushed past its earliest trip when the axis is driven on to the hard
  /// stop.
  std::optional<double> driven_past_trip;
  /// The way there is to stop in after the trip: to the hard stop or the end of the overtravel,
  /// whichever comes first; nothing when neither is known.
  std::optional<double> room;
  /// A pose that shows the first fault of missed, trips_in_travel or trips_past_stop (one value a
  /// joint); empty otherwise.
  std::vector<double> pose;
};

/// BIGHT_CHECKs that the switch's joint and bodies exist. An overtravel of 0 counts as not known.
SwitchTrip find_switch_trip(const Machine& machine, const plan::Switch& limit_switch);

}  // namespace bight::machine
