#include "study/check_bend_between_legs.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <utility>

#include "base/number.h"
#include "base/tolerance.h"
#include "study/lookup.h"
#include "study/widest_bend.h"

namespace bight::study {
namespace {

/// Radius of what the line bends over at a hold, when the plan says.
std::optional<double> radius_at(const plan::Plan& plan, const std::string& hold) {
  for (const plan::Support& support : plan.supports) {
    if (support.name == hold) return support.radius;
  }
  return by_name(plan.anchors, hold).radius;
}

bool has_wheel(const plan::Plan& plan, const std::string& hold) {
  return std::any_of(plan.supports.begin(), plan.supports.end(), [&](const plan::Support& s) {
    return s.name == hold &&
           (s.kind == plan::SupportKind::pulley || s.kind == plan::SupportKind::retractor);
  });
}

std::string what_turns(const LegTurn& turn) {
  const std::string at = turn.hold.empty() ? " " : " at " + turn.hold + ", ";
  return turn.run->name + " turns by " + (turn.pose.empty() ? "" : "up to ") +
         fixed(turn.angle_deg, 0) + " degrees" + at + turn.where;
}

Finding finding_of(const LegTurn& turn, const WidestBend& widest, const char* check) {
  Finding finding =
      make_finding(check, Severity::act,
                   turn.hold.empty() ? Certainty::formula : Certainty::sampled, {turn.run->name});
  finding.things.push_back(turn.hold.empty() ? widest.line->name : turn.hold);
  for (const std::size_t leg : {turn.leg, turn.leg + 1}) {
    if (!turn.hold.empty() || leg >= turn.run->legs.size()) break;
    const plan::Leg& side = turn.run->legs[leg];
    if (side.way == plan::LegWay::chain) finding.things.push_back(side.chain);
    if (side.way == plan::LegWay::fixed) finding.things.push_back(side.body);
  }
  finding.pose = turn.pose;
  finding.poses = turn.poses;
  finding.step_mm = turn.step_mm;
  return finding;
}

bool turns_back(const LegTurn& turn) {
  return turn.angle_deg > 180.0 - k_straight_turn_deg;
}

/// Straight that a side must give, for a bend of radius 1: the tangent of the bend, and that of the
/// other side where that has no straight.
double tangents_of(const LegTurn& turn, const TurnSide& side, const TurnSide& other) {
  if (side.guide != LegGuide::clipped || !turn.hold.empty()) return 0.0;
  const double tangent = std::tan(0.5 * turn.angle_deg * std::numbers::pi / 180.0);
  return other.guide == LegGuide::clipped ? tangent : 2.0 * tangent;
}

/// What the turn at the other end of a leg without corners takes of the same straight.
double tangents_at_other_end(const LegTurn& turn, bool of_before,
                             const std::vector<LegTurn>& turns) {
  const std::size_t leg = of_before ? turn.leg : turn.leg + 1;
  for (const LegTurn& other : turns) {
    if (other.run != turn.run || turns_back(other)) continue;
    if (of_before && other.leg + 1 == leg) return tangents_of(other, other.after, other.before);
    if (!of_before && other.leg == leg) return tangents_of(other, other.before, other.after);
  }
  return 0.0;
}

/// The widest bend for which both sides have the straight; 0 when neither is clipped.
double possible_radius(const LegTurn& turn, const std::vector<LegTurn>& turns) {
  std::optional<double> radius;
  for (const bool of_before : {true, false}) {
    const TurnSide& side = of_before ? turn.before : turn.after;
    double tangents = tangents_of(turn, side, of_before ? turn.after : turn.before);
    if (!(tangents > 0.0)) continue;
    if (side.whole_leg) tangents += tangents_at_other_end(turn, of_before, turns);
    const double here = side.straight_mm / tangents;
    radius = std::min(here, radius.value_or(here));
  }
  return radius.value_or(0.0);
}

void check_between_guides(const Context& context, const LegTurn& turn,
                          const std::vector<LegTurn>& turns, std::vector<Finding>& findings) {
  const WidestBend widest = widest_bend(context, *turn.run, line::BendUse::fixed);
  const double allowed = widest.limit.centre_line_mm;
  const double possible = turns_back(turn) ? 0.0 : possible_radius(turn, turns);
  if (possible >= allowed - k_length_equal_mm) return;
  Finding finding = finding_of(turn, widest, "bend between legs");
  finding.value = possible;
  finding.limit = allowed;
  finding.what = what_turns(turn);
  if (turns_back(turn)) {
    finding.severity = Severity::stop;
    finding.what += ": it turns back on itself, " + widest.line->name + " allows a bend of " +
                    context.length(allowed) + " at its centre line (" + widest.limit.because + ")";
    finding.advice =
        "turn one of the two legs round, or lead the line round in a bend of at least " +
        context.at_least(allowed, 0);
    findings.push_back(std::move(finding));
    return;
  }
  finding.what += ", where its straights leave room for a bend of " + context.length(possible) +
                  "; the centre line of " + widest.line->name + " allows " +
                  context.length(allowed) + " (" + widest.limit.because + ")";
  const double tangents = std::max(tangents_of(turn, turn.before, turn.after),
                                   tangents_of(turn, turn.after, turn.before));
  finding.advice = tangents > 0.0
                       ? "give a straight of at least " + context.at_least(tangents * allowed, 0) +
                             " there beside other bends, or let the two legs meet in line"
                       : "put a clipped leg with a bend of at least " +
                             context.at_least(allowed, 0) + " between the two";
  findings.push_back(std::move(finding));
}

/// Over a saddle the turn may be any; without one that the plan names nobody can know.
void check_at_hold(const Context& context, const LegTurn& turn, std::vector<Finding>& findings) {
  if (has_wheel(context.plan, turn.hold)) return;  // looked at with or without a leg before it
  const WidestBend widest = widest_bend(context, *turn.run, line::BendUse::moving);
  const double allowed = widest.limit.inner_mm;
  const std::optional<double> radius = radius_at(context.plan, turn.hold);
  if (radius && *radius >= allowed - k_length_equal_mm) return;
  Finding finding = finding_of(turn, widest, "bend at a hold");
  finding.limit = allowed;
  finding.what = what_turns(turn);
  if (radius) {
    finding.value = *radius;
    finding.what += ", over a radius of " + context.length(*radius) + "; " + widest.line->name +
                    " allows " + context.length(allowed) + " (" + widest.limit.because + ")";
    finding.advice = "take a saddle of at least " + context.at_least(allowed) + " radius";
  } else {
    constexpr double k_sharp_deg = 90.0;  // beyond it no line lies over a hold by chance
    finding.severity = turn.angle_deg > k_sharp_deg ? Severity::act : Severity::note;
    finding.what += "; nothing says over what radius, " + widest.line->name + " allows " +
                    context.length(allowed) + " (" + widest.limit.because + ")";
    finding.advice = "lay it over a saddle, or tie it in a loop, of at least " +
                     context.at_least(allowed) + " radius, and give " + turn.hold +
                     " that 'radius'";
  }
  findings.push_back(std::move(finding));
}

}  // namespace

std::vector<Finding> check_bends_between_legs(const Context& context,
                                              const std::vector<LegTurn>& turns) {
  std::vector<Finding> findings;
  for (const LegTurn& turn : turns) {
    if (!(turn.angle_deg > k_straight_turn_deg)) continue;
    if (turn.hold.empty()) {
      check_between_guides(context, turn, turns, findings);
    } else {
      check_at_hold(context, turn, findings);
    }
  }
  return findings;
}

}  // namespace bight::study
