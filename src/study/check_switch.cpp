#include "study/check_switch.h"

#include <algorithm>
#include <cmath>

#include "machine/switch_trip.h"
#include "study/context.h"

namespace bight::study {
namespace {

using machine::SwitchFault;
using machine::SwitchTrip;

/// By how much the actuator passes the switch sideways, and where it would have to be longer.
struct Miss {
  Vec3 direction{0.0};
  double distance_mm = 0.0;
};

Miss sideways_miss(const Context& context, const plan::Switch& limit_switch,
                   const SwitchTrip& trip) {
  const machine::Machine& machine = context.machine;
  const auto moved = [&](const std::string& body) {
    return machine::translation(machine.bodies[machine.body_index(body)], trip.pose);
  };
  const Vec3 feeler = limit_switch.at + moved(limit_switch.body);
  const Vec3 low = limit_switch.actuator_at + moved(limit_switch.actuator_body);
  const Vec3 high = low + limit_switch.actuator_size;
  const Vec3 way = machine.joints[trip.joint].direction;
  Miss miss;
  for (int k = 0; k < 3; ++k) {
    if (std::abs(way[k]) > 0.5) continue;  // along the joint the pose itself makes the distance
    const double below = low[k] - (feeler[k] + limit_switch.radius);
    const double above = feeler[k] - limit_switch.radius - high[k];
    if (std::max(below, above) <= miss.distance_mm) continue;
    miss.distance_mm = std::max(below, above);
    miss.direction = Vec3(0.0);
    miss.direction[k] = below > above ? -1.0 : 1.0;
  }
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
  switch (fault) {
    case SwitchFault::no_motion:
      finding.what = name + ": " + joint + " does not move it against its actuator";
      finding.advice = "put the switch on one side of " + joint + " and the actuator on the other";
      break;
    case SwitchFault::missed: {
      const Miss miss = sideways_miss(context, limit_switch, trip);
      finding.what = name + ": its actuator passes it by " + context.length(miss.distance_mm) +
                     " at this pose";
      finding.value = miss.distance_mm;
      finding.advice = "lengthen the actuator by " + context.length(miss.distance_mm + 1.0) +
                       " towards " + direction_text(miss.direction);
      break;
    }
    case SwitchFault::wrong_side:
      finding.what = name + ": it is only pressed at the far end of the travel";
      finding.value = inner;
      finding.limit = trip.soft_limit;
      finding.advice = "move the actuator by " + context.length(std::abs(inner - trip.soft_limit)) +
                       " towards " + outward;
      break;
    case SwitchFault::trips_in_travel: {
      finding.what = name + ": it trips at " + joint + " " + context.length(inner) +
                     ", inside the soft limit of " + context.length(trip.soft_limit);
      finding.value = inner;
      finding.limit = trip.soft_limit;
      const double room = trip.hard_stop ? std::abs(stop - trip.soft_limit) : 4.0;
      finding.advice = "move " + still_one(context, limit_switch, trip) + " by " +
                       context.length(std::abs(inner - trip.soft_limit) + room / 4.0) +
                       " towards " + outward;
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
                       context.length(std::abs(stop - trip.released.value_or(stop)) + 1.0) +
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
      finding.what = name + ": driven on to the hard stop it goes past its overtravel of " +
                     context.length(limit_switch.overtravel);
      finding.value = trip.after_trip.value_or(0.0);
      finding.limit = limit_switch.overtravel;
      finding.severity = Severity::act;
      finding.advice = "let it trip " + context.length(finding.value - finding.limit) +
                       " later, or take a switch with that much more overtravel";
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
    check.switches.push_back(figures);
    for (const SwitchFault fault : trip.faults) {
      // A trip at or behind the stop leaves no room at all: that fault says what to do.
      const bool past_stop = std::find(trip.faults.begin(), trip.faults.end(),
                                       SwitchFault::trips_past_stop) != trip.faults.end();
      if (fault == SwitchFault::stops_too_late && past_stop) continue;
      check.findings.push_back(describe(context, limit_switch, trip, fault));
    }
  }
  return check;
}

}  // namespace bight::study
