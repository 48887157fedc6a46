#include "machine/switch_trip.h"

#include <algorithm>

#include "base/box.h"
#include "base/check.h"
#include "base/tolerance.h"
#include "machine/limits.h"
#include "machine/line_in_box.h"
#include "machine/motion.h"
#include "machine/zonotope_gap.h"

namespace bight::machine {

namespace {

/// The switch as seen from its actuator. The guarded joint counts towards its end, as
/// s = sense * q, so that every end is treated as a high end.
struct Seen {
  std::size_t joint = 0;
  double sense = 1.0;
  std::vector<Vec3> motion;  ///< of the sphere's centre, per unit of each joint
  Vec3 centre{0.0};          ///< at joint zero
  double radius = 0.0;
  Box actuator;

  Vec3 approach() const { return sense * motion[joint]; }
};

Seen seen_from_actuator(const Machine& machine, const plan::Switch& s) {
  const auto guarded =
      std::find_if(machine.joints.begin(), machine.joints.end(),
                   [&](const plan::Joint& joint) { return joint.name == s.joint; });
  BIGHT_CHECK(guarded != machine.joints.end());
  return {.joint = static_cast<std::size_t>(guarded - machine.joints.begin()),
          .sense = s.end == plan::End::high ? 1.0 : -1.0,
          .motion = relative_motion(machine.bodies[machine.body_index(s.body)],
                                    machine.bodies[machine.body_index(s.actuator_body)]),
          .centre = s.at,
          .radius = s.radius,
          .actuator = {s.actuator_at, s.actuator_at + s.actuator_size}};
}

/// Where the centre can be when the joints range over the box; the guarded joint stays at zero
/// unless it is to be included.
enum class Guarded { at_zero, included };
Zonotope range(const Seen& seen, const TravelBox& box, Guarded guarded) {
  Zonotope zonotope{.origin = seen.centre, .generators = {}};
  for (std::size_t j = 0; j < box.size(); ++j) {
    if (j == seen.joint && guarded == Guarded::at_zero) continue;
    if (seen.motion[j] == Vec3(0.0)) continue;
    zonotope.generators.push_back(
        {.direction = seen.motion[j], .lower = box[j][0], .upper = box[j][1]});
  }
  return zonotope;
}

/// The box with joints that do not matter held at its low end, so that corners come once.
TravelBox corners_that_matter(const Seen& seen, TravelBox box) {
  for (std::size_t j = 0; j < box.size(); ++j) {
    if (j == seen.joint) box[j] = {0.0, 0.0};
    if (j == seen.joint || seen.motion[j] == Vec3(0.0)) box[j][1] = box[j][0];
  }
  return box;
}

/// Trip and release over the corners of the other joints.
struct Sweep {
  double earliest = 0.0;
  double latest = 0.0;
  double released = 0.0;
  std::vector<double> latest_pose;
  std::optional<std::vector<double>> missed;  ///< a corner without contact
  /// Where it is pressed at a corner with contact behind the far end only.
  std::optional<std::array<double, 2>> wrong_side;
};

Sweep sweep_corners(const Seen& seen, const TravelBox& others, double far_limit) {
  Sweep sweep;
  bool any = false;
  for (const std::vector<double>& corner : corner_poses(corners_that_matter(seen, others))) {
    Vec3 start = seen.centre;
    for (std::size_t j = 0; j < corner.size(); ++j) start += corner[j] * seen.motion[j];
    const auto pressed = line_in_box(start, seen.approach(), seen.actuator, seen.radius);
    if (!pressed) {
      if (!sweep.missed) sweep.missed = corner;
      continue;
    }
    const auto [trip, release] = *pressed;
    if (!(release > far_limit)) {
      if (!sweep.wrong_side) sweep.wrong_side = {trip, release};
      continue;
    }
    if (!any || trip > sweep.latest) {
      sweep.latest = trip;
      sweep.latest_pose = corner;
    }
    sweep.earliest = any ? std::min(sweep.earliest, trip) : trip;
    sweep.released = any ? std::min(sweep.released, release) : release;
    any = true;
  }
  return sweep;
}

/// A pose of the soft travel at which the switch is pressed; nothing when there is none.
std::optional<std::vector<double>> pressed_in(const Seen& seen, const TravelBox& soft) {
  const ZonotopeGap gap = gap_to_box(range(seen, soft, Guarded::included), seen.actuator);
  if (gap.lower_bound > seen.radius + k_length_equal_mm) return std::nullopt;
  std::vector<double> pose;
  std::size_t next = 0;
  for (std::size_t j = 0; j < soft.size(); ++j) {
    const bool matters = seen.motion[j] != Vec3(0.0);
    pose.push_back(matters ? gap.values[next++] : soft[j][0]);
  }
  return pose;
}

/// Everything that follows from trip, limits and stopping distance.
void judge_stopping(SwitchTrip& result, const Sweep& sweep, double sense, double overtravel,
                    double rate) {
  result.before_trip = sweep.earliest - sense * result.soft_limit;
  if (overtravel > 0.0) result.room = overtravel / rate;
  if (result.hard_stop) {
    const double stop = sense * *result.hard_stop;
    result.after_trip = stop - sweep.latest;
    result.room = std::min(result.room.value_or(*result.after_trip), *result.after_trip);
    if (!(*result.after_trip > k_length_equal_mm)) {
      result.faults.push_back(SwitchFault::trips_past_stop);
      if (result.pose.empty()) {
        result.pose = sweep.latest_pose;
        result.pose[result.joint] = sense * sweep.latest;
      }
    }
    if (!(sweep.released >= stop - k_length_equal_mm)) {
      result.faults.push_back(SwitchFault::rides_over);
    }
  }
  if (result.stopping && result.room && !(*result.stopping <= *result.room + k_length_equal_mm)) {
    result.faults.push_back(SwitchFault::stops_too_late);
  }
  if (result.hard_stop) {
    result.driven_past_trip = (sense * *result.hard_stop - sweep.earliest) * rate;
    if (overtravel > 0.0 && !(*result.driven_past_trip <= overtravel + k_length_equal_mm)) {
      result.faults.push_back(SwitchFault::crushed_at_stop);
    }
  }
}

}  // namespace

SwitchTrip find_switch_trip(const Machine& machine, const plan::Switch& limit_switch) {
  const Seen seen = seen_from_actuator(machine, limit_switch);
  const plan::Joint& joint = machine.joints[seen.joint];
  const std::size_t end = limit_switch.end == plan::End::high ? 1 : 0;

  SwitchTrip result{.joint = seen.joint,
                    .faults = {},
                    .trip = {},
                    .released = {},
                    .pressed_behind = {},
                    .soft_limit = joint.travel[end],
                    .hard_stop = {},
                    .before_trip = {},
                    .after_trip = {},
                    .stopping = stopping_distance(joint),
                    .driven_past_trip = {},
                    .room = {},
                    .pose = {}};
  if (joint.stops) result.hard_stop = (*joint.stops)[end];
  if (seen.motion[seen.joint] == Vec3(0.0)) {
    result.faults.push_back(SwitchFault::no_motion);
    return result;
  }

  const TravelBox others = hard_travel(machine.joints);
  const double far_limit = seen.sense * joint.travel[1 - end];
  Sweep sweep = sweep_corners(seen, others, far_limit);
  if (sweep.missed) {
    result.faults.push_back(SwitchFault::missed);
    result.pose = *sweep.missed;
    result.pose[seen.joint] = result.soft_limit;
  }
  if (sweep.wrong_side) {
    result.faults.push_back(SwitchFault::wrong_side);
    const auto [trip, release] = *sweep.wrong_side;
    result.pressed_behind = {seen.sense * trip, seen.sense * release};
  }
  if (const auto pose = pressed_in(seen, soft_travel(machine.joints))) {
    result.faults.push_back(SwitchFault::trips_in_travel);
    if (result.pose.empty()) result.pose = *pose;
  }
  if (sweep.missed || sweep.wrong_side) return result;

  const Zonotope elsewhere = range(seen, others, Guarded::at_zero);
  if (!elsewhere.generators.empty()) {
    const auto first = first_contact(elsewhere, seen.approach(), seen.actuator, seen.radius);
    sweep.earliest = std::min(sweep.earliest, first.value_or(sweep.earliest));
  }
  result.trip = {seen.sense * sweep.earliest, seen.sense * sweep.latest};
  std::sort(result.trip->begin(), result.trip->end());
  result.released = seen.sense * sweep.released;
  judge_stopping(result, sweep, seen.sense, limit_switch.overtravel,
                 glm::length(seen.motion[seen.joint]));
  return result;
}

}  // namespace bight::machine
