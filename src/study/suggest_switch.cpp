// Places of a limit switch, sizes of its actuator and rapid rates that may mend it.

#include <array>
#include <cmath>
#include <optional>

#include "machine/switch_trip.h"
#include "study/suggest_candidate.h"
#include "study/suggest_edit.h"

namespace bight::study {
namespace {

constexpr double k_step_mm = 0.5;  ///< slotted holes are set to about this
constexpr int k_steps = 80;        ///< up to 40 mm

bool good(const Context& context, const plan::Switch& changed) {
  return machine::find_switch_trip(context.machine, changed).faults.empty();
}

/// The switch, or what presses it, moved along the joint so that it trips where it is good to.
void add_moves_to_trip(const Context& context, const plan::Switch& now,
                       const machine::SwitchTrip& trip, Candidates& candidates) {
  const bool low = now.end == plan::End::low;
  std::optional<double> trips;
  if (trip.trip) trips = (*trip.trip)[low ? 1 : 0];
  if (trip.pressed_behind) trips = (*trip.pressed_behind)[0];
  if (!trips) return;
  const double outward = low ? -1.0 : 1.0;
  const double room = trip.hard_stop ? std::abs(*trip.hard_stop - trip.soft_limit) : 8.0;
  const Vec3 along = context.machine.joints[trip.joint].direction;
  for (const double share : {0.25, 0.5, 0.75}) {
    const double distance = trip.soft_limit + share * outward * room - *trips;
    for (const double sign : {1.0, -1.0}) {
      for (const bool actuator : {false, true}) {
        plan::Switch changed = now;
        Vec3& at = actuator ? changed.actuator_at : changed.at;
        const Vec3 before = at;
        for (int k = 0; k < 3; ++k) {
          at[k] = measurable(context, at[k] + sign * distance * along[k], k_step_mm);
        }
        if (at == before || !good(context, changed)) continue;
        const std::string thing = actuator ? "the actuator of " + now.name : now.name;
        const auto then = machine::find_switch_trip(context.machine, changed).trip;
        candidates.push_back(
            {"the switch elsewhere",
             {{"switch." + now.name + (actuator ? ".actuator_at" : ".at"), toml_place(context, at),
               "move " + thing + " from " + point_text(before, context.unit) + " to " +
                   point_text(at, context.unit) + ": it then trips at " +
                   context.machine.joints[trip.joint].name + " " +
                   context.length((*then)[low ? 1 : 0])}}});
      }
    }
  }
}

/// Travel that ends before the switch trips.
void add_shorter_travel(const Context& context, const plan::Switch& now,
                        const machine::SwitchTrip& trip, Candidates& candidates) {
  constexpr double k_before_trip_mm = 2.0;  // as in the advice of the check
  if (!trip.trip) return;
  const plan::Joint& joint = context.machine.joints[trip.joint];
  const bool low = now.end == plan::End::low;
  const double end = (*trip.trip)[low ? 1 : 0] + (low ? 1.0 : -1.0) * k_before_trip_mm;
  const double limit = measurable(context, end, 1.0);
  const double low_end = low ? limit : joint.travel[0];
  const double high_end = low ? joint.travel[1] : limit;
  const bool shorter = low ? limit > joint.travel[0] : limit < joint.travel[1];
  if (!shorter || !(high_end - low_end > 0.5 * (joint.travel[1] - joint.travel[0]))) return;
  candidates.push_back(
      {"another travel",
       {{"joint." + joint.name + ".travel",
         "[" + toml_measure(context, low_end) + ", " + toml_measure(context, high_end) + "]",
         "let " + joint.name + (low ? " begin at " : " end at ") + context.length(limit) +
             ", before " + now.name + " trips"}}});
  if (!joint.stops) return;
  std::array<double, 2> stops = *joint.stops;
  double& stop = low ? stops[0] : stops[1];
  stop += limit - (low ? joint.travel[0] : joint.travel[1]);
  Candidate with_stop = candidates.back();
  with_stop.changes.front().what += ", and set its hard stop to " + context.length(stop);
  with_stop.changes.push_back(
      {"joint." + joint.name + ".stops",
       "[" + toml_measure(context, stops[0]) + ", " + toml_measure(context, stops[1]) + "]",
       {}});
  candidates.push_back(std::move(with_stop));
}

/// Moves of the switch along the axes, least first. Only those without a fault.
void add_places(const Context& context, const plan::Switch& now, Candidates& candidates) {
  for (int step = 1; step <= k_steps; ++step) {
    const double distance = step * k_step_mm;
    for (int axis = 0; axis < 3; ++axis) {
      for (const double sign : {1.0, -1.0}) {
        plan::Switch changed = now;
        changed.at[axis] = measurable(context, changed.at[axis] + sign * distance);
        if (!good(context, changed)) continue;
        candidates.push_back({"the switch elsewhere",
                              {{"switch." + now.name + ".at", toml_place(context, changed.at),
                                move_text(context, now.name, now.at, changed.at, {})}}});
        if (candidates.size() >= 6) return;
      }
    }
  }
}

/// The actuator longer at one end, for one that is missed or passed.
void add_actuators(const Context& context, const plan::Switch& now, Candidates& candidates) {
  std::size_t found = 0;
  for (int step = 1; step <= k_steps && found < 3; ++step) {
    const double more = step * k_step_mm;
    for (int axis = 0; axis < 3; ++axis) {
      for (const bool low : {true, false}) {
        plan::Switch changed = now;
        changed.actuator_size[axis] += more;
        if (low) changed.actuator_at[axis] -= more;
        if (!good(context, changed)) continue;
        Candidate candidate{
            "a larger actuator",
            {{"switch." + now.name + ".actuator_size", toml_place(context, changed.actuator_size),
              "lengthen the actuator of " + now.name + " by " + context.length(more) + " along " +
                  "XYZ"[axis]}}};
        if (low) {
          candidate.changes.push_back({"switch." + now.name + ".actuator_at",
                                       toml_place(context, changed.actuator_at),
                                       {}});
        }
        candidates.push_back(std::move(candidate));
        ++found;
      }
    }
  }
}

void add_slower(const Context& context, const plan::Switch& now, Candidates& candidates) {
  const auto trip = machine::find_switch_trip(context.machine, now);
  const plan::Joint& joint = context.machine.joints[trip.joint];
  if (!trip.room || !joint.speed || !joint.acceleration || !(*trip.room > 0.0)) return;
  // v = sqrt(2 a s), rounded down to 100 mm/min.
  const double most = 60.0 * std::sqrt(2.0 * *joint.acceleration * *trip.room);
  const double speed = std::floor(most / 100.0) * 100.0;
  if (!(speed > 0.0) || speed >= *joint.speed) return;
  candidates.push_back({"a lower rapid rate",
                        {set_length(context, "joint." + joint.name + ".speed", speed,
                                    "lower the rapid rate of " + joint.name + " to " +
                                        context.length(speed, 0) + "/min")}});
}

}  // namespace

Candidates switch_candidates(const Context& context, const Finding& finding) {
  Candidates candidates;
  for (const plan::Switch& limit_switch : context.plan.switches) {
    if (finding.things.empty() || limit_switch.name != finding.things.front()) continue;
    const auto trip = machine::find_switch_trip(context.machine, limit_switch);
    add_places(context, limit_switch, candidates);
    add_moves_to_trip(context, limit_switch, trip, candidates);
    add_actuators(context, limit_switch, candidates);
    add_slower(context, limit_switch, candidates);
    add_shorter_travel(context, limit_switch, trip, candidates);
  }
  return candidates;
}

}  // namespace bight::study
