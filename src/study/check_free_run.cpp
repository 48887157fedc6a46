#include "study/check_free_run.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>

#include "free/hanging.h"
#include "study/check_free_run_bend.h"
#include "study/check_free_run_length.h"
#include "study/check_swing.h"
#include "study/free_run.h"
#include "study/free_run_clearance.h"

namespace bight::study {
namespace {

std::string run_name(const FreeRun& run) {
  return run.run->name + ", " + run.from.name + " to " + run.to.name;
}

Finding finding_of(const FreeRun& run, Severity severity, std::string check) {
  Finding finding;
  finding.check = std::move(check);
  finding.severity = severity;
  finding.things = {run.run->name, run.from.name, run.to.name};
  finding.unit = "mm";
  return finding;
}

/// What a support carries of all lines and legs that are held there: the sum of their greatest
/// pulls, also where these belong to different poses and directions, so never less than the truth.
struct SupportLoad {
  double sum_N = 0.0;
  double limit_N = 0.0;
  std::vector<std::string> things;  ///< the support, then the runs
  double largest_N = 0.0;           ///< of one line, at `pose`
  std::vector<double> pose;
  std::size_t poses = 0;
  double step_mm = 0.0;
};

using SupportLoads = std::map<std::string, SupportLoad>;

void add_load(const FreeRun& run, const FreeEnd& end, std::size_t lines, double pull_N,
              const std::vector<double>& pose, const FreeRunFigures& f, SupportLoads& loads) {
  if (!end.max_load_N) return;
  SupportLoad& load = loads[end.name];
  load.limit_N = *end.max_load_N;
  load.sum_N += static_cast<double>(lines) * pull_N;
  if (load.things.empty()) load.things.push_back(end.name);
  if (load.things.back() != run.run->name) load.things.push_back(run.run->name);
  load.poses = std::max(load.poses, f.shape_poses);
  load.step_mm = std::max(load.step_mm, f.shape_step_mm);
  if (pull_N < load.largest_N) return;
  load.largest_N = pull_N;
  load.pose = pose;
}

std::vector<Finding> check_supports(const SupportLoads& loads) {
  std::vector<Finding> findings;
  for (const auto& [name, load] : loads) {
    if (load.sum_N <= load.limit_N) continue;
    Finding finding =
        make_finding("support load", Severity::act, Certainty::sampled, load.things, "N");
    finding.pose = load.pose;
    finding.value = load.sum_N;
    finding.limit = load.limit_N;
    finding.poses = load.poses;
    finding.step_mm = load.step_mm;
    finding.what = name + " is pulled with up to " + fixed(load.sum_N, 1) +
                   " N at standstill by all that hangs there, it carries " +
                   fixed(load.limit_N, 1) + " N";
    finding.advice = "take a support for at least " + fixed(std::ceil(2.0 * load.sum_N), 0) +
                     " N (twice the pull), or a longer line";
    findings.push_back(std::move(finding));
  }
  return findings;
}

/// What would keep the line away from everything it comes near to: a shorter line, else a hook
/// moved up or along. Tried at the poses that were found worst.
std::string near_advice(const Context& context, const FreeRun& run, const RunWindow& window,
                        const RunRod& line, const std::vector<LineApproach>& near) {
  constexpr double k_step_mm = 10.0;
  const auto clear = [&](const FreeRun& changed, double length_mm) {
    HangingRod rod = line.rod;
    rod.length_mm = length_mm;
    return keeps_clear_at(FreeRunRod(changed.anchors, rod, home_pose(context)),
                          line.article->outside_diameter, near);
  };
  for (double length = window.length_mm - k_step_mm; length >= window.min_mm; length -= k_step_mm) {
    if (clear(run, length)) return "shorten the line to " + context.length(length, 0);
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
        if (changed.open() && clear(moved, std::ceil(changed.min_mm))) {
          return "move " + end.name + " by " + mm(distance) + " towards " +
                 direction_text(direction) + " and take a length of " +
                 mm(std::ceil(changed.min_mm));
        }
      }
    }
  }
  double lacking = 0.0;
  for (const LineApproach& a : near) {
    lacking = std::max(lacking, a.target.wanted_mm - a.distance_mm);
  }
  return "hold the line " + mm(std::ceil(lacking)) +
         " farther away there, for example by an arm at its moving end";
}

bool too_near(const LineApproach& approach, double distance_mm) {
  return distance_mm <= 0.0 || distance_mm < approach.target.wanted_mm;
}

/// "12 mm at 0.008 N m^2, 30 mm at 0.072 N m^2" where that decides; empty where it does not, or
/// the stiffness was measured.
std::string depends_on_stiffness(const Context& context, const FreeRunRod& solver,
                                 const RunRod& line, const LineApproach& approach) {
  if (line.stiffness.measured) return "";
  const bool near = too_near(approach, approach.distance_mm);
  bool flips = false;
  std::string text;
  for (const double stiffness : {line.stiffness.lower, line.stiffness.upper}) {
    HangingRod rod = line.rod;
    rod.stiffness_Nm2 = stiffness;
    const RodShape shape = solver.changed(rod).solve_near(approach.shape, approach.pose);
    if (!shape.converged()) continue;
    const double d = line_distance(approach.target, approach.pose, shape.points, rod.length_mm,
                                   line.article->outside_diameter);
    flips = flips || too_near(approach, d) != near;
    text += (text.empty() ? "" : ", ") + context.length(std::max(0.0, d), 0) + " at " +
            two_digits(stiffness) + " N m^2";
  }
  return flips ? text : "";
}

Finding near_finding(const Context& context, const FreeRun& run, const RunRod& line,
                     const LineApproach& approach, const FreeRunFigures& figures,
                     Severity severity) {
  const std::string& owner = approach.target.mover->owner;
  const bool touches = approach.distance_mm <= 0.0;
  Finding finding = finding_of(run, severity, "free line clearance");
  finding.certainty = Certainty::sampled;
  finding.poses = figures.poses;
  finding.step_mm = figures.step_mm;
  finding.things = {run.run->name, owner};
  finding.pose = approach.pose;
  finding.value = std::max(0.0, approach.distance_mm);
  finding.limit = approach.target.wanted_mm;
  finding.what =
      run_name(run) + ": " + line.line->name + " " +
      (touches ? "touches " + owner
               : "comes within " + context.length(approach.distance_mm, 0) + " of " + owner + ", " +
                     context.length(approach.target.wanted_mm, 0) + " wanted (IEC 60204-1)");
  return finding;
}

std::vector<Finding> check_near(const Context& context, const FreeRun& run, const RunWindow& window,
                                const RunRod& line, const FreeRunRod& solver,
                                const std::vector<LineApproach>& approaches,
                                const FreeRunFigures& figures) {
  std::vector<Finding> findings;
  std::vector<LineApproach> near;
  for (const LineApproach& a : approaches) {
    if (too_near(a, a.distance_mm)) near.push_back(a);
  }
  const std::string advice = near.empty() ? "" : near_advice(context, run, window, line, near);
  for (const LineApproach& approach : approaches) {
    const bool is_near = too_near(approach, approach.distance_mm);
    const std::string depends = depends_on_stiffness(context, solver, line, approach);
    if (!is_near && depends.empty()) continue;
    Finding finding = near_finding(context, run, line, approach, figures,
                                   is_near ? Severity::act : Severity::note);
    const std::string measure = "its stiffness is estimated (" + depends +
                                "): measure it by a droop test: bight calc droop";
    if (is_near) {
      finding.advice = advice + "; or name " + approach.target.mover->owner +
                       " in may_touch when the line may lie on it";
      if (!depends.empty()) finding.advice += "; " + measure;
    } else {
      finding.check = "line stiffness";
      finding.advice = measure;
    }
    findings.push_back(std::move(finding));
  }
  return findings;
}

/// Distances of the anchors, the window, and the proved droop and pull of a limp line.
FreeRunFigures limp_figures(const Context& context, const FreeRun& run, const RunWindow& window) {
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
  for (const RunRod& line : rods_of(context, run, window.length_mm)) {
    const free::PullOverTravel pull =
        free::pull_over_travel(run.anchors, window.length_mm, line.rod.mass_kg_m);
    if (std::isfinite(pull.upper_N)) {
      figures.greatest_pull_N = std::max(figures.greatest_pull_N, pull.upper_N);
    }
  }
  return figures;
}

void add_rod_figures(const RunRod& line, const FreeRunShapes& shapes, const RodExtremes& extremes,
                     FreeRunFigures& figures) {
  figures.shape_poses += shapes.shapes.size();
  figures.shape_step_mm = std::max(figures.shape_step_mm, shapes.grid.step_mm);
  figures.not_converged += shapes.not_converged;
  if (extremes.tightest.pose.empty()) return;
  if (!figures.lowest_is_sampled || extremes.lowest.measure < figures.lowest_mm) {
    figures.lowest_mm = extremes.lowest.measure;
    figures.lowest_pose = extremes.lowest.pose;
  }
  // A stiff line in a short loop pushes everywhere: no pull.
  figures.greatest_pull_N = figures.lowest_is_sampled
                                ? std::max(figures.greatest_pull_N, extremes.greatest_pull_N)
                                : std::max(0.0, extremes.greatest_pull_N);
  figures.lowest_is_sampled = true;
  figures.pull_start_N = std::max(figures.pull_start_N, extremes.pull_start_N);
  figures.pull_end_N = std::max(figures.pull_end_N, extremes.pull_end_N);
  figures.moment_start_Nmm = std::max(figures.moment_start_Nmm, extremes.moment_start_Nmm);
  figures.moment_end_Nmm = std::max(figures.moment_end_Nmm, extremes.moment_end_Nmm);
  const double margin = extremes.tightest.measure - line.allowed_radius_mm;
  if (figures.bend_line.empty() || margin < figures.radius_mm - figures.allowed_radius_mm) {
    figures.bend_line = line.line->name;
    figures.radius_mm = extremes.tightest.measure;
    figures.radius_at_mm = extremes.tightest.shape.radius_at_mm;
    figures.radius_pose = extremes.tightest.pose;
    figures.allowed_radius_mm = line.allowed_radius_mm;
    figures.stiffness_Nm2 = line.stiffness.value;
    figures.stiffness_measured = line.stiffness.measured;
  }
}

/// Everything that needs the shape of the line. Where no length works the stop says all: what a
/// line of some length would do is no use.
void check_shapes(const Context& context, const FreeRun& run, const RunWindow& window,
                  const std::vector<Mover>& movers, FreeRunFigures& figures, SupportLoads& loads,
                  std::vector<Finding>& findings) {
  const std::vector<RunRod> lines = rods_of(context, run, window.length_mm);
  double diameter = 0.0;
  for (const RunRod& line : lines) diameter = std::max(diameter, line.article->outside_diameter);
  const LineTargets targets = line_targets(context, run, window.length_mm, diameter, movers);
  const PoseGrid grid = free_run_grid(context, run, approaching_joints(run, targets.targets));
  const PoseGrid shaping = shaping_grid(grid, run);
  figures.proved_clear = targets.proved;
  figures.poses = grid.size();
  figures.step_mm = grid.step_mm;
  double nearest = std::numeric_limits<double>::infinity();
  std::vector<std::string> named;
  for (const RunRod& line : lines) {
    const FreeRunShapes shapes =
        free_run_shapes(context, FreeRunRod(run.anchors, line.rod, home_pose(context)), shaping);
    const RodExtremes extremes = rod_extremes(context, shapes);
    add_rod_figures(line, shapes, extremes, figures);
    append(findings, check_free_run_bend(context, run, window, line, shapes, extremes));
    add_load(run, run.from, line.lines, extremes.pull_start_N, extremes.pull_start_pose, figures,
             loads);
    add_load(run, run.to, line.lines, extremes.pull_end_N, extremes.pull_end_pose, figures, loads);

    const std::vector<LineApproach> approaches =
        line_approaches(context, shapes, grid, line.article->outside_diameter, targets.targets);
    for (Finding& finding :
         check_near(context, run, window, line, shapes.solver, approaches, figures)) {
      // Lines side by side come near to the same thing: it is said once.
      if (std::find(named.begin(), named.end(), finding.things[1]) != named.end()) continue;
      named.push_back(finding.things[1]);
      findings.push_back(std::move(finding));
    }
    if (!approaches.empty()) {
      const LineApproach& closest = approaches.front();
      figures.clearance_certainty = Certainty::sampled;
      if (closest.distance_mm - closest.target.wanted_mm < nearest) {
        nearest = closest.distance_mm - closest.target.wanted_mm;
        figures.clearance_mm = std::max(0.0, closest.distance_mm);
        figures.clearance_wanted_mm = closest.target.wanted_mm;
        figures.clearance_to = closest.target.mover->owner;
        figures.clearance_pose = closest.pose;
      }
    }
    SwingCheck swing = check_swing(context, run, line, approaches);
    append(findings, std::move(swing.findings));
    if (swing.amplitude_mm > figures.swing_mm) {
      figures.swing_mm = swing.amplitude_mm;
      figures.swing_period_s = swing.period_s;
      figures.swing_pose = swing.pose;
    }
  }
}

}  // namespace

FreeRunCheck check_free_runs(const Context& context, const std::vector<Mover>& movers) {
  FreeRunCheck check;
  SupportLoads loads;
  for (const FreeRun& run : make_free_runs(context)) {
    const RunWindow window = window_of(context, run);
    append(check.findings, check_free_run_length(context, run, window));
    FreeRunFigures figures = limp_figures(context, run, window);
    if (window.open() && window.length_mm > figures.farthest_mm) {
      check_shapes(context, run, window, movers, figures, loads, check.findings);
    }
    check.runs.push_back(std::move(figures));
  }
  append(check.findings, check_supports(loads));
  return check;
}

}  // namespace bight::study
