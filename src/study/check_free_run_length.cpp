#include "study/check_free_run_length.h"

#include <algorithm>
#include <cmath>

#include "base/tolerance.h"
#include "free/opening_move.h"

namespace bight::study {
namespace {

const char* reason_text(free::LimitKind kind) {
  switch (kind) {
    case free::LimitKind::slack:
      return "wanted slack at the farthest pose";
    case free::LimitKind::pull:
      return "pull at the farthest pose";
    case free::LimitKind::clamp:
      return "bend at a clamp";
    case free::LimitKind::droop:
      return "droop: the lowest point has to stay above its limit";
    case free::LimitKind::weight:
      return "pull of its own weight";
    case free::LimitKind::arc:
      return "bend radius in the loop";
    case free::LimitKind::hairpin:
      break;
  }
  return "hairpin at the nearest pose";
}

std::string run_name(const FreeRun& run) {
  return run.run->name + ", " + run.from.name + " to " + run.to.name;
}

Finding finding_of(const FreeRun& run, Severity severity, std::string check) {
  Finding finding;
  finding.check = std::move(check);
  finding.severity = severity;
  finding.things = {run.run->name, run.from.name, run.to.name};
  finding.unit = "mm";
  finding.certainty = Certainty::proved;
  return finding;
}

Certainty certainty_of(const std::vector<free::LengthLimit>& limits) {
  return !limits.empty() && limits.front().certainty == free::Certainty::proved
             ? Certainty::proved
             : Certainty::sampled;
}

/// No length works: which anchor to move, and by how much.
Finding describe_closed(const Context& context, const FreeRun& run, const RunWindow& window) {
  Finding finding = finding_of(run, Severity::stop, "length window");
  const free::Window& least = window.of_line[window.min_line];
  const free::Window& most = window.of_line[window.max_line];
  finding.certainty = certainty_of(least.at_least) == Certainty::proved ? certainty_of(most.at_most)
                                                                        : Certainty::sampled;
  finding.pose = least.farthest.pose;
  finding.value = window.max_mm;
  finding.limit = window.min_mm;
  const std::string upper =
      std::isfinite(window.max_mm)
          ? "at most " + context.length(window.max_mm, 0) + " (" + limit_reason(most.at_most) + ")"
          : "shorter than any line (" + limit_reason(most.at_most) + ")";
  finding.what = run_name(run) + ": no length works: it has to be at least " +
                 context.length(window.min_mm, 0) + " (" + limit_reason(least.at_least) + ") and " +
                 upper;
  // Anchors on the ground (hooks, wall brackets) are what a person would move; else the other end.
  const bool start_moves = run.from.body == plan::k_ground;
  const bool end_moves = run.to.body == plan::k_ground;
  const plan::Leg& leg = run.run->legs[run.leg];
  const auto moves = free::opening_moves(
      run.anchors, hanging_line(context, *run.lines[window.min_line]), window_options(leg),
      {.start_may_move = start_moves || !end_moves, .end_may_move = end_moves, .reach_mm = 2500.0});
  if (moves.empty()) {
    finding.advice = "no straight move of an anchor up to " + context.length(2500.0, 0) +
                     " opens the window: bring this line another way";
  } else {
    const free::AnchorMove& move = moves.front();
    finding.advice = "move " + (move.moves_start ? run.from.name : run.to.name) + " by " +
                     context.length(std::ceil(move.distance_mm), 0) + " towards " +
                     direction_text(move.direction) + " and take a length of " +
                     context.length(move.window.recommended_mm, 0);
  }
  return finding;
}

}  // namespace

std::string limit_reason(const std::vector<free::LengthLimit>& limits) {
  return limits.empty() || !limits.front().counts ? "nothing" : reason_text(limits.front().kind);
}

std::vector<Finding> check_free_run_length(const Context& context, const FreeRun& run,
                                           const RunWindow& window) {
  std::vector<Finding> findings;
  if (!window.open()) {
    findings.push_back(describe_closed(context, run, window));
    return findings;
  }
  const free::Window& least = window.of_line[window.min_line];
  const free::Window& most = window.of_line[window.max_line];
  const double recommended =
      std::min(std::max(std::ceil(window.min_mm / 10.0) * 10.0, window.min_mm), window.max_mm);
  if (window.length_mm + k_length_equal_mm < window.min_mm) {
    const bool tears = window.length_mm <= least.farthest.distance_mm;
    Finding finding = finding_of(run, tears ? Severity::stop : Severity::act, "length window");
    finding.certainty = certainty_of(least.at_least);
    finding.pose = least.farthest.pose;
    finding.value = window.length_mm;
    finding.limit = window.min_mm;
    finding.what =
        run_name(run) + ": " + context.length(window.length_mm, 0) +
        (tears ? " does not reach: the anchors are " +
                     context.length(least.farthest.distance_mm, 0) + " apart at the farthest pose"
               : " is too short, " + context.length(window.min_mm, 0) + " needed (" +
                     limit_reason(least.at_least) + ")");
    finding.advice = "lengthen to " + context.length(recommended, 0);
    findings.push_back(std::move(finding));
  }
  if (window.length_mm > window.max_mm + k_length_equal_mm) {
    Finding finding = finding_of(run, Severity::act, "length window");
    finding.certainty = certainty_of(most.at_most);
    if (!most.at_most.empty()) finding.pose = most.at_most.front().pose;
    finding.value = window.length_mm;
    finding.limit = window.max_mm;
    finding.what = run_name(run) + ": " + context.length(window.length_mm, 0) + " is too long, " +
                   context.length(window.max_mm, 0) + " allowed (" + limit_reason(most.at_most) +
                   ")";
    finding.advice = "shorten to " + context.length(recommended, 0);
    findings.push_back(std::move(finding));
  }
  return findings;
}

}  // namespace bight::study
