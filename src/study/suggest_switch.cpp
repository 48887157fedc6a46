// Places of a limit switch, sizes of its actuator and rapid rates that may mend it.

#include <cmath>

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

/// Moves of the switch along the axes, least first. Only those without a fault.
void add_places(const Context& context, const plan::Switch& now,
                std::vector<Candidate>& candidates) {
  for (int step = 1; step <= k_steps; ++step) {
    const double distance = step * k_step_mm;
    for (int axis = 0; axis < 3; ++axis) {
      for (const double sign : {1.0, -1.0}) {
        plan::Switch changed = now;
        changed.at[axis] = measurable(context, changed.at[axis] + sign * distance);
        if (!good(context, changed)) continue;
        candidates.push_back({"the switch elsewhere",
                              {{"switch." + now.name + ".at", toml_place(context, changed.at),
                                "move " + now.name + " from " + point_text(now.at, context.unit) +
                                    " to " + point_text(changed.at, context.unit)}}});
        if (candidates.size() >= 6) return;
      }
    }
  }
}

/// The actuator longer at one end, for one that is missed or passed.
void add_actuators(const Context& context, const plan::Switch& now,
                   std::vector<Candidate>& candidates) {
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

void add_slower(const Context& context, const plan::Switch& now,
                std::vector<Candidate>& candidates) {
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

std::vector<Candidate> switch_candidates(const Context& context, const Finding& finding) {
  std::vector<Candidate> candidates;
  for (const plan::Switch& limit_switch : context.plan.switches) {
    if (finding.things.empty() || limit_switch.name != finding.things.front()) continue;
    add_places(context, limit_switch, candidates);
    add_actuators(context, limit_switch, candidates);
    add_slower(context, limit_switch, candidates);
  }
  return candidates;
}

}  // namespace bight::study
