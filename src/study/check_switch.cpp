#include "study/check_switch.h"

#include <algorithm>
#include <cmath>

#include "base/box.h"
#include "machine/limits.h"
#include "machine/switch_trip.h"
#include "study/context.h"

namespace bight::study {
namespace {

using machine::SwitchFault;
using machine::SwitchTrip;

/// What the actuator lacks to meet the switch at every pose of the other joints.
struct Miss {
  double distance_mm = 0.0;  ///< by which it passes the roller where it passes widest
  std::string lengthen;      ///< "5.1 mm towards +Y and 3.0 mm towards -Z"
};

/// Over the corners of the hard travel, since the places of the switch seen from its actuator fill
/// the hull of these. The actuator has to cover the middle of the roller with a margin: on its edge
/// a roller slips off.
Miss sideways_miss(const Context& context, const plan::Switch& limit_switch,
                   const SwitchTrip& trip) {
  constexpr double k_margin_mm = 2.0;  // what brackets and guides give (common practice)
  const machine::Machine& machine = context.machine;
  const machine::Body& own = machine.bodies[machine.body_index(limit_switch.body)];
  const machine::Body& other = machine.bodies[machine.body_index(limit_switch.actuator_body)];
  const Vec3 low = limit_switch.actuator_at;
  const Vec3 high = low + limit_switch.actuator_size;
  const Vec3 way = machine.joints[trip.joint].direction;
  Box middles;  // of the roller, seen from the actuator
  for (const auto& pose : machine::corner_poses(machine::hard_travel(machine.joints))) {
    middles.extend(limit_switch.at + machine::translation(own, pose) -
                   machine::translation(other, pose));
  }
  Miss miss;
  Vec3 beside(0.0);
  for (int k = 0; k < 3; ++k) {
    if (std::abs(way[k]) > 0.5) continue;  // along the joint the pose itself makes the distance
    double widest = 0.0;
    const auto lacks = [&](double beyond, const char* sign) {
      if (!(beyond > 0.0)) return;
      widest = std::max(widest, beyond);
      miss.lengthen += (miss.lengthen.empty() ? "" : " and ") +
                       context.at_least(beyond + k_margin_mm) + " towards " + sign + "XYZ"[k];
    };
    lacks(low[k] - middles.lower[k], "-");
    lacks(middles.upper[k] - high[k], "+");
    beside[k] = widest;
  }
  miss.distance_mm = glm::length(beside) - limit_switch.radius;
  return miss;
}

/// What a person moves to shift the trip point: the one of the two that the joint leaves where it
/// is. Moved outward by d it trips d later.
std::string still_one(const Context& context, const plan::Switch& limit_switch,
                      const SwitchTrip& trip) {
  const machine::Machine& machine = context.machine;
  const auto motion = [&](const std::string& body) {
    return glm::length(machine.bodies[machine.body_index(body)].motion[trip.joint]);
  };
  return motion(limit_switch.body) <= motion(limit_switch.actuator_body) ? "the switch"
                                                                         : "its actuator";
}

/// Sentence, value, limit and advice of one fault.
Finding describe(const Context& context, const plan::Switch& limit_switch, const SwitchTrip& trip,
                 SwitchFault fault) {
  const std::string joint = context.machine.joints[trip.joint].name;
  const std::string name = limit_switch.name;
  const bool low = limit_switch.end == plan::End::low;
  const std::string outward = joint + (low ? " minus" : " plus");
  const std::string inward = joint + (low ? " plus" : " minus");
  Finding finding = make_finding("switch", Severity::stop, Certainty::proved, {name});
  finding.pose = trip.pose;
  // The trip nearest to the travel and the one nearest to the stop.
  const double inner = trip.trip ? (low ? (*trip.trip)[1] : (*trip.trip)[0]) : 0.0;
  const double outer = trip.trip ? (low ? (*trip.trip)[0] : (*trip.trip)[1]) : 0.0;
  const double stop = trip.hard_stop.value_or(trip.soft_limit);
  // Well outside of the soft limit, most of the way to the stop left to stop in.
  const double room = trip.hard_stop ? std::abs(stop - trip.soft_limit) : 4.0;
  const double good_trip = trip.soft_limit + (low ? -0.25 : 0.25) * room;
  const auto move_outward = [&](double from) {
    return "move " + still_one(context, limit_switch, trip) + " by " +
           context.length(std::abs(good_trip - from)) + " towards " + outward +
           ": it then trips at " + joint + " " + context.length(good_trip);
  };
  switch (fault) {
    case SwitchFault::no_motion:
      finding.what = name + ": " + joint + " does not move it against its actuator";
      finding.advice = "put the switch on one side of " + joint + " and the actuator on the other";
      break;
    case SwitchFault::missed: {
      const Miss miss = sideways_miss(context, limit_switch, trip);
      finding.what = name + ": its actuator passes it by up to " +
                     context.length(miss.distance_mm) + ", at this pose for one";
      finding.value = miss.distance_mm;
      finding.advice = "lengthen the actuator by " + miss.lengthen;
      break;
    }
    case SwitchFault::wrong_side: {
      const auto [trips, free_again] = *trip.pressed_behind;
      const double far_end = context.machine.joints[trip.joint].travel[low ? 1 : 0];
      finding.what = name + ": it trips at " + joint + " " + context.length(trips) +
                     " and is free again at " + context.length(free_again) +
                     ", at the wrong end of the travel (" + joint + " " + context.length(far_end) +
                     ")";
      finding.value = trips;
      finding.limit = trip.soft_limit;
      finding.advice = move_outward(trips);
      break;
    }
    case SwitchFault::trips_in_travel: {
      finding.what = name + ": it trips at " + joint + " " + context.length(inner) +
                     ", inside the soft limit of " + context.length(trip.soft_limit);
      finding.value = inner;
      finding.limit = trip.soft_limit;
      finding.advice = move_outward(inner);
      break;
    }
    case SwitchFault::trips_past_stop:
      finding.what = name + ": it trips at " + joint + " " + context.length(outer) +
                     ", at or behind the hard stop at " + context.length(stop);
      finding.value = outer;
      finding.limit = stop;
      finding.advice =
          "move the switch or its actuator by " +
          context.length(std::abs(outer - stop) + 0.75 * std::abs(stop - trip.soft_limit)) +
          " towards " + inward;
      break;
    case SwitchFault::rides_over:
      finding.what = name + ": the actuator has passed it at " + joint + " " +
                     context.length(trip.released.value_or(0.0)) + ", before the hard stop";
      finding.value = trip.released.value_or(0.0);
      finding.limit = stop;
      finding.advice = "lengthen the actuator by " +
                       context.at_least(std::abs(stop - trip.released.value_or(stop)) + 1.0) +
                       " along " + joint;
      break;
    case SwitchFault::stops_too_late:
      finding.what = name + ": from rapid speed the axis needs " +
                     context.length(trip.stopping.value_or(0.0)) + " to stop, " +
                     context.length(trip.room.value_or(0.0)) + " are left after the trip";
      finding.value = trip.stopping.value_or(0.0);
      finding.limit = trip.room.value_or(0.0);
      finding.severity = Severity::act;
      {
        const plan::Joint& j = context.machine.joints[trip.joint];
        const double speed =
            60.0 * std::sqrt(2.0 * j.acceleration.value_or(0.0) * std::max(0.0, finding.limit));
        // Rounded down: at the advised rate it must stop in time.
        const double unit = context.unit == LengthUnit::inch ? k_mm_per_inch : 1.0;
        finding.advice = "lower the rapid rate to " +
                         context.length(std::floor(speed / unit) * unit, 0) + "/min or less";
      }
      break;
    case SwitchFault::crushed_at_stop:
      finding.what = name + ": driven on to the hard stop it is pushed " +
                     context.length(trip.driven_past_trip.value_or(0.0)) +
                     " past its trip, its overtravel is " + context.length(limit_switch.overtravel);
      finding.value = trip.driven_past_trip.value_or(0.0);
      finding.limit = limit_switch.overtravel;
      finding.severity = Severity::act;
      finding.advice = "move " + still_one(context, limit_switch, trip) + " by " +
                       context.at_least(finding.value - finding.limit) + " towards " + outward +
                       ", or take a switch with an overtravel of " +
                       context.at_least(finding.value);
      break;
  }
  return finding;
}

}  // namespace

SwitchCheck check_switches(const Context& context) {
  SwitchCheck check;
  for (const plan::Switch& limit_switch : context.plan.switches) {
    const SwitchTrip trip = machine::find_switch_trip(context.machine, limit_switch);
    const bool low = limit_switch.end == plan::End::low;
    SwitchFigures figures;
    figures.name = limit_switch.name;
    figures.joint = context.machine.joints[trip.joint].name;
    if (trip.trip) figures.trip = low ? (*trip.trip)[1] : (*trip.trip)[0];
    figures.soft_limit = trip.soft_limit;
    figures.hard_stop = trip.hard_stop;
    figures.stopping_mm = trip.stopping;
    figures.room_mm = trip.room;
    if (limit_switch.overtravel > 0.0) figures.overtravel_mm = limit_switch.overtravel;
    figures.driven_past_trip_mm = trip.driven_past_trip;
    check.switches.push_back(figures);
    for (const SwitchFault fault : trip.faults) {
      // A trip at or behind the stop leaves no room at all: that fault says what to do.
      const bool past_stop = std::find(trip.faults.begin(), trip.faults.end(),
                                       SwitchFault::trips_past_stop) != trip.faults.end();
      if (fault == SwitchFault::stops_too_late && past_stop) continue;
      // Without a trip at every pose there is no trip point to speak of: that fault comes first.
      if (fault == SwitchFault::trips_in_travel && !trip.trip) continue;
      check.findings.push_back(describe(context, limit_switch, trip, fault));
    }
  }
  return check;
}

}  // namespace bight::study
