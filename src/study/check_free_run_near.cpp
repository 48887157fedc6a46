#include "study/check_free_run_near.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "study/hook_surface.h"

namespace bight::study {
namespace {

std::string run_name(const FreeRun& run) {
  return run.run->name + ", " + run.from.name + " to " + run.to.name;
}

bool too_near(const LineApproach& approach, double distance_mm) {
  return distance_mm <= 0.0 || distance_mm < approach.target.wanted_mm;
}

/// What would keep the line away from everything it comes near to: a shorter line, else a hook
/// moved up or along, not through the ceiling or a wall. Tried at the poses that were found worst,
/// then over the whole grid: a pose where it fails counts among the worst from then on.
std::string near_advice(const Context& context, const FreeRun& run, const RunWindow& window,
                        const RunRod& line, const PoseGrid& grid,
                        const std::vector<LineTarget>& targets, std::vector<LineApproach> near) {
  constexpr double k_step_mm = 10.0;
  int whole_looks = 0;
  const auto clear = [&](const FreeRun& changed, double length_mm) {
    constexpr int k_whole_looks = 12;  // each costs as much as the check itself
    HangingRod rod = line.rod;
    rod.length_mm = length_mm;
    const FreeRunRod solver = make_rod(changed, rod, home_pose(context));
    const double diameter = line.article->outside_diameter;
    if (!keeps_clear_at(solver, diameter, near) || whole_looks == k_whole_looks) return false;
    ++whole_looks;
    const FreeRunShapes shapes = free_run_shapes(context, solver, shaping_grid(grid, changed));
    if (shapes.not_converged > 0) return false;
    bool all = true;
    for (LineApproach& a : line_approaches(context, shapes, grid, diameter, targets)) {
      if (!too_near(a, a.distance_mm)) continue;
      all = false;
      near.push_back(std::move(a));
    }
    return all;
  };
  double length = window.length_mm - k_step_mm;
  while (length >= window.min_mm) {
    if (clear(run, length)) return "shorten the line to " + context.length(length, 0);
    length -= k_step_mm;
  }
  const auto mm = [&](double value) { return context.length(value, 0); };
  for (const bool start : {true, false}) {
    const FreeEnd& end = start ? run.from : run.to;
    if (end.body != plan::k_ground) continue;
    // The window of a line on a support that moves is sampled, so few of them are looked at.
    const int steps = run.support ? 2 : 20;
    for (int step = 1; step <= steps; ++step) {
      const double distance = 1000.0 * step / steps;
      for (const Vec3& direction :
           {Vec3(0, 0, 1), Vec3(1, 0, 0), Vec3(-1, 0, 0), Vec3(0, 1, 0), Vec3(0, -1, 0)}) {
        if (!can_be_held_at(context, end.at, end.at + distance * direction)) continue;
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
                     const LineApproach& approach, const FreeRunFigures& figures) {
  const std::string& owner = approach.target.mover->owner;
  const bool touches = approach.distance_mm <= 0.0;
  Finding finding = make_finding("free line clearance", Severity::act, Certainty::sampled, {});
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

}  // namespace

std::vector<Finding> check_free_run_near(const Context& context, const FreeRun& run,
                                         const RunWindow& window, const RunRod& line,
                                         const FreeRunRod& solver, const PoseGrid& grid,
                                         const std::vector<LineTarget>& targets,
                                         const std::vector<LineApproach>& approaches,
                                         const FreeRunFigures& figures) {
  std::vector<Finding> findings;
  std::vector<LineApproach> near;
  for (const LineApproach& a : approaches) {
    if (too_near(a, a.distance_mm)) near.push_back(a);
  }
  const std::string advice = near.empty() || context.options.findings_only
                                 ? ""
                                 : near_advice(context, run, window, line, grid, targets, near);
  for (const LineApproach& approach : approaches) {
    const bool is_near = too_near(approach, approach.distance_mm);
    const std::string depends = depends_on_stiffness(context, solver, line, approach);
    if (!is_near && depends.empty()) continue;
    Finding finding = near_finding(context, run, line, approach, figures);
    const std::string measure = "its stiffness is estimated (" + depends +
                                "): measure it by a droop test: bight calc droop";
    if (is_near) {
      finding.advice = advice + "; or name " + approach.target.mover->owner +
                       " in may_touch when the line may lie on it";
      if (!depends.empty()) finding.advice += "; " + measure;
    } else {
      finding.check = "line stiffness";
      finding.what += " if its stiffness is as estimated, too near if it is not";
      finding.advice = measure;
    }
    findings.push_back(std::move(finding));
  }
  return findings;
}

std::vector<Finding> check_unknown_chains(const Context& context, const FreeRun& run,
                                          const std::vector<LineTarget>& targets,
                                          const std::vector<Finding>& found) {
  std::vector<Finding> findings;
  for (const LineTarget& target : targets) {
    if (!target.raised || target.raised->known_all_over()) continue;
    const std::string& chain = target.mover->owner;
    const bool near = std::any_of(found.begin(), found.end(), [&](const Finding& f) {
      return f.check == "free line clearance" && f.things.back() == chain;
    });
    if (near) continue;
    Finding finding = make_finding("free line clearance", Severity::act, Certainty::formula,
                                   {run.run->name, chain});
    finding.limit = target.wanted_mm;
    finding.what = fmt::format(
        "{}: it can come near to {}, and where the shape of {} is not known nothing keeps it {} "
        "away",
        run_name(run), chain, chain, context.length(target.wanted_mm, 0));
    finding.advice = fmt::format(
        "mount the runs of {} {} apart: then its clearances are known; or name {} in may_touch "
        "when "
        "the line may lie on it",
        chain, context.length(2.0 * target.raised->simulated().chain->bend_radius), chain);
    findings.push_back(std::move(finding));
  }
  return findings;
}

}  // namespace bight::study
