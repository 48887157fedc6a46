#include "study/check_free_run.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/tolerance.h"
#include "free/hanging.h"
#include "free/opening_move.h"
#include "rod/catenary.h"
#include "study/free_run.h"
#include "study/free_run_clearance.h"
#include "study/lookup.h"

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

std::string limit_reason(const std::vector<free::LengthLimit>& limits) {
  return limits.empty() || !limits.front().counts ? "nothing" : reason_text(limits.front().kind);
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

std::vector<Finding> check_length(const Context& context, const FreeRun& run,
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
  for (std::size_t i = 0; i < run.lines.size(); ++i) {
    for (const free::LengthLimit& limit : window.of_line[i].at_most) {
      if (limit.counts || window.length_mm <= limit.length_mm) continue;
      Finding finding = finding_of(run, Severity::note, "hairpin");
      finding.certainty = Certainty::sampled;
      finding.things.push_back(run.lines[i]->name);
      finding.pose = limit.pose;
      finding.value = window.length_mm;
      finding.limit = limit.length_mm;
      finding.what = run_name(run) + ": at the nearest pose " + run.lines[i]->name +
                     " hangs in a loop narrower than twice its bend radius; how it bends there "
                     "depends on its stiffness";
      finding.advice =
          limit.length_mm > window.min_mm
              ? "shorten to " + context.length(limit.length_mm, 0) + " to rule it out"
              : "watch the loop at this pose by hand before power goes on; a length of " +
                    context.length(limit.length_mm, 0) + " would rule it out but is too short";
      findings.push_back(std::move(finding));
    }
  }
  return findings;
}

struct Pull {
  double greatest_N = 0.0;
  double at_start_N = 0.0;
  double at_end_N = 0.0;
  std::vector<double> pose;
};

/// Greatest tension at the corners of the travel, where a line of fixed length is stretched most.
Pull greatest_pull(const FreeRun& run, double length_mm, double mass_kg_m) {
  Pull pull;
  for (const free::Pose& pose : free::corner_poses(run.anchors)) {
    const auto hang = free::hang_at(run.anchors, pose, length_mm, mass_kg_m, 1).catenary;
    if (hang.status != rod::CatenaryStatus::hangs && hang.status != rod::CatenaryStatus::vertical) {
      continue;
    }
    pull.at_start_N = std::max(pull.at_start_N, hang.tension_start_N);
    pull.at_end_N = std::max(pull.at_end_N, hang.tension_end_N);
    const double greatest = std::max(hang.tension_start_N, hang.tension_end_N);
    if (greatest > pull.greatest_N) {
      pull.greatest_N = greatest;
      pull.pose = pose;
    }
  }
  return pull;
}

std::vector<Finding> check_support(const FreeRun& run, double start_N, double end_N,
                                   const std::vector<double>& pose) {
  std::vector<Finding> findings;
  const auto check = [&](const FreeEnd& end, double load) {
    if (!end.max_load_N || load <= *end.max_load_N) return;
    Finding finding = finding_of(run, Severity::act, "support load");
    finding.things = {end.name, run.run->name};
    finding.pose = pose;
    finding.value = load;
    finding.limit = *end.max_load_N;
    finding.unit = "N";
    finding.certainty = Certainty::formula;
    finding.what = end.name + " is pulled with " + fixed(load, 1) +
                   " N at standstill, it carries " + fixed(*end.max_load_N, 1) + " N";
    finding.advice = "take a support for at least " + fixed(std::ceil(2.0 * load), 0) +
                     " N (twice the pull), or a longer line";
    findings.push_back(std::move(finding));
  };
  check(run.from, start_N);
  check(run.to, end_N);
  return findings;
}

/// What would keep the line away from everything it comes near to: a shorter line, else a hook
/// moved up or along. Tried at the poses that were found worst.
std::string near_advice(const Context& context, const FreeRun& run, const RunWindow& window,
                        double diameter, const std::vector<LineApproach>& near) {
  constexpr double k_step_mm = 10.0;
  for (double length = window.length_mm - k_step_mm; length >= window.min_mm; length -= k_step_mm) {
    if (keeps_clear_at(run, length, diameter, near)) {
      return "shorten the line to " + context.length(length, 0);
    }
  }
  const auto mm = [&](double value) { return context.length(value, 0); };
  for (const bool start : {true, false}) {
    const FreeEnd& end = start ? run.from : run.to;
    if (end.body != plan::k_ground) continue;
    for (double distance = 50.0; distance <= 1000.0; distance += 50.0) {
      for (const Vec3& direction :
           {Vec3(0, 0, 1), Vec3(1, 0, 0), Vec3(-1, 0, 0), Vec3(0, 1, 0), Vec3(0, -1, 0)}) {
        FreeRun moved = run;
        (start ? moved.anchors.start : moved.anchors.end) += distance * direction;
        const RunWindow changed = window_of(context, moved);
        if (changed.open() && keeps_clear_at(moved, changed.min_mm, diameter, near)) {
          return "move " + end.name + " by " + mm(distance) + " towards " +
                 direction_text(direction) + " and take a length of " +
                 mm(std::ceil(changed.min_mm));
        }
      }
    }
  }
  double lacking = 0.0;
  for (const LineApproach& a : near) lacking = std::max(lacking, a.wanted_mm - a.distance_mm);
  return "hold the line " + mm(std::ceil(lacking)) +
         " farther away there, for example by an arm at its moving end";
}

std::vector<Finding> check_near(const Context& context, const FreeRun& run, const RunWindow& window,
                                double diameter, const FreeRunClearance& clearance) {
  std::vector<Finding> findings;
  std::vector<LineApproach> near;
  for (const LineApproach& approach : clearance.approaches) {
    if (approach.distance_mm <= 0.0 || approach.distance_mm < approach.wanted_mm) {
      near.push_back(approach);
    }
  }
  if (near.empty()) return findings;
  const std::string advice = near_advice(context, run, window, diameter, near);
  for (const LineApproach& approach : near) {
    const bool touches = approach.distance_mm <= 0.0;
    Finding finding = finding_of(run, Severity::act, "free line clearance");
    finding.certainty = Certainty::sampled;
    finding.poses = clearance.poses;
    finding.step_mm = clearance.step_mm;
    finding.things = {run.run->name, approach.mover->owner};
    finding.pose = approach.pose;
    finding.value = std::max(0.0, approach.distance_mm);
    finding.limit = approach.wanted_mm;
    finding.what = run_name(run) + ": the hanging line " +
                   (touches ? "touches " + approach.mover->owner
                            : "comes within " + context.length(approach.distance_mm, 0) + " of " +
                                  approach.mover->owner + ", " +
                                  context.length(approach.wanted_mm, 0) + " wanted (IEC 60204-1)");
    finding.advice =
        advice + "; or name " + approach.mover->owner + " in may_touch when the line may lie on it";
    findings.push_back(std::move(finding));
  }
  return findings;
}

}  // namespace

FreeRunCheck check_free_runs(const Context& context, const std::vector<Mover>& movers) {
  FreeRunCheck check;
  for (const FreeRun& run : make_free_runs(context)) {
    const RunWindow window = window_of(context, run);
    append(check.findings, check_length(context, run, window));

    const free::Window& least = window.of_line[window.min_line];
    FreeRunFigures figures;
    figures.run = run.run->name;
    figures.leg = run.leg + 1;
    figures.from = run.from.name;
    figures.to = run.to.name;
    figures.farthest_mm = least.farthest.distance_mm;
    figures.farthest_pose = least.farthest.pose;
    figures.nearest_mm = least.nearest.distance_mm;
    figures.nearest_pose = least.nearest.pose;
    figures.min_mm = window.min_mm;
    figures.max_mm = window.max_mm;
    figures.min_reason = limit_reason(least.at_least);
    figures.max_reason = limit_reason(window.of_line[window.max_line].at_most);
    figures.length_mm = window.length_mm;
    figures.length_given = window.given;
    const free::LowestOverTravel lowest = free::lowest_over_travel(run.anchors, window.length_mm);
    figures.lowest_mm = lowest.lower_mm;
    figures.lowest_pose = lowest.pose;

    double diameter = 0.0;
    double start_N = 0.0;
    double end_N = 0.0;
    std::vector<double> pull_pose;
    for (const plan::Line* line : run.lines) {
      const plan::Article& article = by_name(context.plan.articles, line->article);
      diameter = std::max(diameter, article.outside_diameter);
      const Pull pull = greatest_pull(run, window.length_mm, article.mass);
      start_N += pull.at_start_N;
      end_N += pull.at_end_N;
      if (pull.greatest_N > figures.greatest_pull_N) {
        figures.greatest_pull_N = pull.greatest_N;
        pull_pose = pull.pose;
      }
    }
    append(check.findings, check_support(run, start_N, end_N, pull_pose));

    // Where no length works the stop says all: what a line of some length would come near to is no use.
    if (window.open() && window.length_mm > least.farthest.distance_mm) {
      const FreeRunClearance clearance =
          free_run_clearance(context, run, window.length_mm, diameter, movers);
      append(check.findings, check_near(context, run, window, diameter, clearance));
      figures.poses = clearance.poses;
      figures.step_mm = clearance.step_mm;
      figures.proved_clear = clearance.proved;
      figures.clearance_certainty =
          clearance.approaches.empty() ? Certainty::proved : Certainty::sampled;
      if (!clearance.approaches.empty()) {
        const LineApproach& nearest = clearance.approaches.front();
        figures.clearance_mm = std::max(0.0, nearest.distance_mm);
        figures.clearance_wanted_mm = nearest.wanted_mm;
        figures.clearance_to = nearest.mover->owner;
        figures.clearance_pose = nearest.pose;
      }
    }
    check.runs.push_back(std::move(figures));
  }
  return check;
}

}  // namespace bight::study
