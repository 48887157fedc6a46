#include "study/check_free_run_length.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/tolerance.h"
#include "free/opening_move.h"
#include "study/hook_surface.h"

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

Finding finding_of(const FreeRun& run, const RunWindow& window, Severity severity,
                   std::string check) {
  Finding finding;
  finding.poses = window.poses;
  finding.step_mm = window.step_mm;
  finding.check = std::move(check);
  finding.severity = severity;
  finding.things = {run.run->name, run.from.name, run.to.name};
  finding.unit = "mm";
  finding.certainty = Certainty::proved;
  return finding;
}

/// Moves of what a person would move: ends on the ground (hooks, wall brackets), else the other
/// end; not through the ceiling or a wall.
std::vector<free::AnchorMove> moves_that_open(const Context& context, const FreeRun& run,
                                              const RunWindow& window) {
  // Rests where its lines put it.
  if (window.of_line.empty() || context.options.findings_only) return {};
  const bool start_moves = run.from.body == plan::k_ground;
  const bool end_moves = run.to.body == plan::k_ground;
  auto moves = free::opening_moves(
      run.anchors, hanging_line(context, *run.lines[window.min_line]),
      window_options(context, run.run->legs[run.leg]),
      {.start_may_move = start_moves || !end_moves, .end_may_move = end_moves, .reach_mm = 2500.0});
  std::erase_if(moves, [&](const free::AnchorMove& move) {
    const FreeEnd& end = move.moves_start ? run.from : run.to;
    return end.body == plan::k_ground &&
           !can_be_held_at(context, end.at, end.at + move.distance_mm * move.direction);
  });
  return moves;
}

/// The pull that the best length has at its worst pose, where no length has less than allowed.
std::optional<double> least_pull(const Context& context, const FreeRun& run,
                                 const RunWindow& window) {
  const free::HangingLine line = hanging_line(context, *run.lines[window.min_line]);
  if (!line.max_pull_N || window.of_line.empty()) return {};
  double lower = *line.max_pull_N;
  double upper = 1e6;
  free::HangingLine stronger = line;
  for (int i = 0; i < 40; ++i) {
    const double middle = std::sqrt(lower * upper);
    stronger.max_pull_N = middle;
    const bool holds =
        free::length_window(run.anchors, stronger, window_options(context, run.run->legs[run.leg]))
            .status == free::WindowStatus::open;
    (holds ? upper : lower) = middle;
  }
  if (!(upper < 1e6)) return {};
  return upper;
}

/// Other legs that hang on the support of a run, each once: "A to B, C to D".
std::string others_on_support(const Context& context, const FreeRun& run) {
  std::string names;
  for (const FreeRun& other : make_free_runs(context)) {
    const bool same_leg = other.run->name == run.run->name && other.leg == run.leg;
    const bool same_support =
        other.support && other.support->support().name == run.support->support().name;
    if (same_leg || !same_support) continue;
    names += (names.empty() ? "" : ", ") + other.from.name + " to " + other.to.name;
  }
  return names;
}

/// On a support that moves, or a festoon: no length that was tried is long enough at every pose.
Finding describe_none_found(const Context& context, const FreeRun& run, const RunWindow& window) {
  Finding finding = finding_of(run, window, Severity::stop, "length window");
  finding.certainty = Certainty::sampled;
  finding.pose = window.min_pose;
  finding.value = window.max_mm;
  finding.limit = window.min_mm;
  finding.what = run_name(run) + ": no length was found that works, up to " +
                 context.length(window.longest_tried_mm, 0) + " were tried (" + window.min_reason +
                 ")";
  if (run.festoon != nullptr) {
    finding.advice = run.festoon->loops > 1
                         ? "take fewer than " + std::to_string(run.festoon->loops) + " loops"
                         : "bring its fixed end and its tow nearer together";
    return finding;
  }
  const std::string others = others_on_support(context, run);
  finding.advice = others.empty() ? "bring " + run.from.name + " and " + run.to.name +
                                        " nearer together, or ask less of the line"
                                  : "lengthen first what else hangs on " +
                                        run.support->support().name + ": " + others;
  return finding;
}

/// No length works: which anchor to move, and by how much.
Finding describe_closed(const Context& context, const FreeRun& run, const RunWindow& window) {
  Finding finding = finding_of(run, window, Severity::stop, "length window");
  finding.certainty =
      window.min_certainty == Certainty::proved ? window.max_certainty : Certainty::sampled;
  finding.pose = window.farthest.pose;
  finding.value = window.max_mm;
  finding.limit = window.min_mm;
  const bool none = !std::isfinite(window.min_mm) || !std::isfinite(window.max_mm);
  if (none) {
    const free::HangingLine line = hanging_line(context, *run.lines[window.min_line]);
    const bool pull = line.max_pull_N && !std::isfinite(window.min_mm);
    finding.what = run_name(run) + ": no length works: ";
    if (pull && window.min_reason.find("pull") != std::string::npos) {
      finding.what += "whatever its length, " + run.lines[window.min_line]->name +
                      " pulls with more than the " + fixed(*line.max_pull_N, 1) +
                      " N that it stands, by its own weight";
      finding.value = *line.max_pull_N;
      finding.limit = *line.max_pull_N;
      finding.unit = "N";
      if (const auto pulls = least_pull(context, run, window)) {
        finding.value = *pulls;
        finding.advice =
            "take a line that stands " + fixed(std::ceil(*pulls), 0) + " N, or hold it in between";
        return finding;
      }
    } else if (!std::isfinite(window.min_mm)) {
      finding.what += window.min_reason;
    } else {
      finding.what += "it has to be at least " + context.at_least(window.min_mm, 0) + " (" +
                      window.min_reason + "), and any length is too long (" + window.max_reason +
                      ")";
    }
  } else {
    finding.what = run_name(run) + ": no length works: it has to be at least " +
                   context.at_least(window.min_mm, 0) + " (" + window.min_reason +
                   ") and at most " + context.at_most(window.max_mm, 0) + " (" + window.max_reason +
                   ")";
  }
  const auto moves = moves_that_open(context, run, window);
  if (moves.empty()) {
    finding.advice =
        run.support || run.festoon != nullptr
            ? "raise " + run.from.name + " or " + run.to.name + ", or ask less of the line" +
                  (none ? std::string()
                        : ": " + context.length(window.min_mm - window.max_mm, 0) + " are lacking")
            : "no straight move of an anchor up to " + context.length(2500.0, 0) +
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

/// So long that nothing else is looked at.
Finding describe_hardly_meant(const Context& context, const FreeRun& run, const RunWindow& window) {
  Finding finding = finding_of(run, window, Severity::act, "length window");
  finding.certainty = Certainty::formula;
  finding.value = window.length_mm;
  const std::string least = context.at_least(window.min_mm, 0);
  finding.limit = window.min_mm;
  finding.what = run_name(run) + ": " + context.length(window.length_mm, 0) +
                 " can hardly be meant, " + least + " reach: its shapes were not looked at" +
                 (run.support ? ", nor anything else on " + run.support->support().name : "");
  finding.advice = "give the length that it will have, " + least + " or more";
  return finding;
}

}  // namespace

Certainty certainty_of(const std::vector<free::LengthLimit>& limits) {
  return !limits.empty() && limits.front().certainty == free::Certainty::proved
             ? Certainty::proved
             : Certainty::sampled;
}

std::string limit_reason(const std::vector<free::LengthLimit>& limits) {
  return limits.empty() || !limits.front().counts ? "nothing" : reason_text(limits.front().kind);
}

std::vector<Finding> check_free_run_length(const Context& context, const FreeRun& run,
                                           const RunWindow& window) {
  std::vector<Finding> findings;
  if (!window.open()) {
    const bool none_found = window.longest_tried_mm > 0.0 && std::isinf(window.min_mm);
    findings.push_back(none_found ? describe_none_found(context, run, window)
                                  : describe_closed(context, run, window));
    return findings;
  }
  if (run.festoon == nullptr && window.given && is_hardly_meant(run.anchors, window.length_mm)) {
    return {describe_hardly_meant(context, run, window)};
  }
  const double recommended = free::length_to_cut(window.min_mm, window.max_mm);
  if (window.length_mm + k_length_equal_mm < window.min_mm) {
    const bool tears = window.length_mm <= window.farthest.distance_mm;
    Finding finding =
        finding_of(run, window, tears ? Severity::stop : Severity::act, "length window");
    finding.certainty = window.min_certainty;
    finding.pose = window.farthest.pose;
    finding.value = window.length_mm;
    finding.limit = window.min_mm;
    finding.what =
        run_name(run) + ": " + context.length(window.length_mm, 0) +
        (tears ? " does not reach: the anchors are " +
                     context.length(window.farthest.distance_mm, 0) + " apart at the farthest pose"
               : " is too short, " + context.at_least(window.min_mm, 0) + " needed (" +
                     window.min_reason + ")");
    finding.advice = "lengthen to " + context.length(recommended, 0);
    findings.push_back(std::move(finding));
  }
  if (window.length_mm > window.max_mm + k_length_equal_mm) {
    Finding finding = finding_of(run, window, Severity::act, "length window");
    finding.certainty = window.max_certainty;
    finding.pose = window.max_pose;
    finding.value = window.length_mm;
    finding.limit = window.max_mm;
    finding.what = run_name(run) + ": " + context.length(window.length_mm, 0) + " is too long, " +
                   context.at_most(window.max_mm, 0) + " allowed (" + window.max_reason + ")";
    finding.advice = "shorten to " + context.length(recommended, 0);
    findings.push_back(std::move(finding));
  }
  return findings;
}

FreeRunFigures window_figures(const FreeRun& run, const RunWindow& window) {
  FreeRunFigures figures;
  figures.run = run.run->name;
  figures.leg = run.leg + 1;
  figures.from = run.from.name;
  figures.to = run.to.name;
  figures.farthest_mm = window.farthest.distance_mm;
  figures.farthest_pose = window.farthest.pose;
  figures.nearest_mm = window.nearest.distance_mm;
  figures.nearest_pose = window.nearest.pose;
  figures.min_mm = window.min_mm;
  figures.max_mm = window.max_mm;
  figures.min_reason = window.min_reason;
  figures.max_reason = window.max_reason;
  figures.length_mm = window.length_mm;
  figures.length_given = window.given;
  figures.window_poses = window.poses;
  figures.window_step_mm = window.step_mm;
  return figures;
}

}  // namespace bight::study
