#include "study/check_free_run.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>

#include "free/hanging.h"
#include "study/carrier_swing.h"
#include "study/check_festoon.h"
#include "study/check_free_run_bend.h"
#include "study/check_free_run_length.h"
#include "study/check_free_run_near.h"
#include "study/check_support.h"
#include "study/check_swing.h"
#include "study/free_run.h"
#include "study/free_run_clearance.h"
#include "study/free_run_refine.h"

namespace bight::study {
namespace {

/// What a support carries of all lines and legs that are held there: the sum of their greatest
/// pulls, also where these belong to different poses and directions, so never less than the truth.
struct SupportLoad {
  double sum_N = 0.0;
  std::optional<double> limit_N;
  std::vector<std::string> things;  ///< the support, then the runs
  double largest_N = 0.0;           ///< of one line, at `pose`
  std::vector<double> pose;
  std::size_t poses = 0;
  double step_mm = 0.0;
};

using SupportLoads = std::map<std::string, SupportLoad>;

void add_load(const FreeRun& run, const FreeEnd& end, std::size_t lines, double pull_N,
              const std::vector<double>& pose, const FreeRunFigures& f, SupportLoads& loads) {
  if (!end.is_hook) return;
  SupportLoad& load = loads[end.name];
  load.limit_N = end.max_load_N;
  load.sum_N += static_cast<double>(lines) * pull_N;
  if (load.things.empty()) load.things.push_back(end.name);
  if (load.things.back() != run.run->name) load.things.push_back(run.run->name);
  load.poses = std::max(load.poses, f.shape_poses);
  load.step_mm = std::max(load.step_mm, f.shape_step_mm);
  if (pull_N < load.largest_N) return;
  load.largest_N = pull_N;
  load.pose = pose;
}

std::vector<Finding> check_hooks(const SupportLoads& loads, std::vector<SupportFigures>& supports) {
  std::vector<Finding> findings;
  for (const auto& [name, load] : loads) {
    SupportFigures f;
    f.name = name;
    f.kind = to_text(plan::SupportKind::hook);
    f.load_N = load.sum_N;
    f.load_pose = load.pose;
    f.max_load_N = load.limit_N;
    f.poses = load.poses;
    f.step_mm = load.step_mm;
    append(findings, check_load(f, load.things));
    supports.push_back(std::move(f));
  }
  return findings;
}

/// Distances of the anchors, the window, and the proved droop and pull of a limp line.
FreeRunFigures limp_figures(const Context& context, const FreeRun& run, const RunWindow& window) {
  FreeRunFigures figures = window_figures(run, window);
  figures.distances_are_proved = run.support == nullptr;
  if (run.support) {  // the rest needs its shapes
    figures.lowest_mm = -std::numeric_limits<double>::infinity();
    return figures;
  }
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

/// What the checks of several slips of one support, or of lines side by side, have found: the same
/// about the same things is said once.
void add_once(std::vector<Finding> more, std::vector<Finding>& findings) {
  for (Finding& finding : more) {
    const bool said = std::any_of(findings.begin(), findings.end(), [&](const Finding& f) {
      return f.check == finding.check && f.things == finding.things;
    });
    if (!said) findings.push_back(std::move(finding));
  }
}

/// What a shape of the line leaves of its limits.
std::vector<ShapeMargin> margins_of(const FreeRun& run, const RunRod& line) {
  // By curvature, in mm near the limit: the radius of a line that is almost straight says nothing.
  std::vector<ShapeMargin> margins{[least = line.allowed_radius_mm](const RodShape& s) {
    return least * (1.0 - least / s.radius_mm);
  }};
  if (const std::optional<double> above = run.run->legs[run.leg].keep_above) {
    margins.push_back([z = *above](const RodShape& s) { return s.lowest.z - z; });
  }
  if (const std::optional<double> most = line.article->max_pull) {
    margins.push_back([N = *most](const RodShape& s) { return N - s.greatest_pull_N; });
  }
  for (const bool start : {true, false}) {
    const FreeEnd& end = start ? run.from : run.to;
    if (!end.is_hook || !end.max_load_N) continue;
    const double N = *end.max_load_N / static_cast<double>(line.lines);
    margins.push_back([start, N](const RodShape& s) {
      return N - glm::length(start ? s.start_force_N : s.end_force_N);
    });
  }
  return margins;
}

/// Everything that needs the shape of the line, the support at one end of its friction. Where no
/// length works the stop says all: what a line of some length would do is no use.
void check_shapes(const Context& context, const FreeRun& run, const RunWindow& window,
                  const std::vector<Mover>& movers, const std::vector<RaisedChain>& raised,
                  Slip slip, FreeRunFigures& figures, SupportLoads& loads,
                  std::vector<Finding>& findings) {
  const std::vector<RunRod> lines = rods_of(context, run, window.length_mm);
  double diameter = 0.0;
  for (const RunRod& line : lines) diameter = std::max(diameter, line.article->outside_diameter);
  const LineTargets targets =
      line_targets(context, run, window.length_mm, diameter, movers, raised);
  figures.proved_clear = targets.proved;
  for (const RunRod& line : lines) {
    const RefinedShapes refined =
        refined_shapes(context, run, make_rod(run, line.rod, home_pose(context), slip),
                       line.article->outside_diameter, targets.targets, margins_of(run, line));
    const FreeRunShapes& shapes = refined.shapes;
    const PoseGrid& grid = refined.grid;
    figures.poses = std::max(figures.poses, grid.size());
    figures.step_mm = std::max(figures.step_mm, grid.step_mm);
    figures.settled = figures.settled.value_or(true) && refined.settled;
    const RodExtremes extremes = rod_extremes(context, shapes);
    add_rod_figures(line, shapes, extremes, figures);
    const KeepsClear keeps_clear = [&](const FreeRun& changed, double length_mm) {
      HangingRod rod = line.rod;
      rod.length_mm = length_mm;
      const FreeRunShapes other = free_run_shapes(
          context, make_rod(changed, rod, home_pose(context), slip), shaping_grid(grid, changed));
      const auto approaches =
          line_approaches(context, other, grid, line.article->outside_diameter, targets.targets);
      return std::all_of(approaches.begin(), approaches.end(), [](const LineApproach& a) {
        return a.distance_mm > 0.0 && a.distance_mm >= a.target.wanted_mm;
      });
    };
    add_once(check_free_run_bend(context, run, window, line, shapes, extremes, keeps_clear),
             findings);
    add_load(run, run.from, line.lines, extremes.pull_start_N, extremes.pull_start_pose, figures,
             loads);
    add_load(run, run.to, line.lines, extremes.pull_end_N, extremes.pull_end_pose, figures, loads);

    const std::vector<LineApproach> approaches =
        line_approaches(context, shapes, grid, line.article->outside_diameter, targets.targets);
    add_once(check_free_run_near(context, run, window, line, shapes.solver, grid, targets.targets,
                                 approaches, figures),
             findings);
    if (!approaches.empty()) {
      const LineApproach& closest = approaches.front();
      const double margin = closest.distance_mm - closest.target.wanted_mm;
      figures.clearance_certainty = Certainty::sampled;
      if (figures.clearance_to.empty() ||
          margin < figures.clearance_mm - figures.clearance_wanted_mm) {
        figures.clearance_mm = std::max(0.0, closest.distance_mm);
        figures.clearance_wanted_mm = closest.target.wanted_mm;
        figures.clearance_to = closest.target.mover->owner;
        figures.clearance_pose = closest.pose;
      }
    }
    add_once(check_unknown_chains(context, run, targets.targets, findings), findings);
    if (slip != Slip::rest) continue;  // in motion a trolley rolls without friction
    std::optional<CarrierSwing> system;
    if (run.support) system.emplace(context, run, line.line->name);
    SwingCheck swing = check_swing(context, run, line, approaches, system ? &*system : nullptr);
    append(findings, std::move(swing.findings));
    if (swing.not_followed && figures.swing_left_out.empty()) {
      figures.swing_left_out = k_not_followed;
    }
    if (swing.amplitude_mm > figures.swing_mm) {
      figures.swing_mm = swing.amplitude_mm;
      figures.swing_period_s = swing.period_s;
      figures.swing_pose = swing.pose;
    }
  }
}

/// Every line on a support may tell how far that would run beyond its range: the farthest counts.
std::vector<Finding> farthest_of_each_support(std::vector<Finding> findings) {
  std::vector<Finding> kept;
  const auto is_stop = [](const Finding& f) {
    return f.check == "swing" && f.severity == Severity::note;
  };
  for (Finding& finding : findings) {
    const auto said = std::find_if(kept.begin(), kept.end(), [&](const Finding& f) {
      return is_stop(f) && is_stop(finding) && f.things.front() == finding.things.front();
    });
    if (said == kept.end()) {
      kept.push_back(std::move(finding));
    } else if (finding.value > said->value) {
      *said = std::move(finding);
    }
  }
  return kept;
}

std::vector<Slip> slips_of(const FreeRun& run) {
  if (!run.support || !run.support->has_friction()) return {Slip::rest};
  return {Slip::rest, Slip::low, Slip::high};
}

/// Keeps the support of a run as its line was found to be long, each support once.
void keep_support(const Context& context, const FreeRun& run, double length_mm,
                  std::vector<HungSupport>& hung) {
  const std::string& name = run.support->support().name;
  const bool known = std::any_of(hung.begin(), hung.end(), [&](const HungSupport& h) {
    return h.support->support().name == name;
  });
  if (known) return;
  const std::vector<bool> none(context.machine.joints.size(), false);
  hung.push_back(
      {support_with(run, length_mm), shaping_grid(free_run_grid(context, run, none), run)});
}

/// A run is as much work as a good many of the pairs that are checked for clearance before.
constexpr std::size_t k_steps_a_run = 1000;

bool is_wanted(const std::string& run, const std::vector<std::string>& only) {
  return only.empty() || std::find(only.begin(), only.end(), run) != only.end();
}

}  // namespace

std::size_t free_run_steps(const Context& context, const std::vector<std::string>& only) {
  const std::vector<FreeRun> runs = make_free_runs(context);
  return k_steps_a_run *
         static_cast<std::size_t>(std::count_if(runs.begin(), runs.end(), [&](const FreeRun& run) {
           return is_wanted(run.run->name, only);
         }));
}

FreeRunCheck check_free_runs(const Context& context, const std::vector<Mover>& movers,
                             const std::vector<RaisedChain>& raised,
                             const std::vector<std::string>& only) {
  FreeRunCheck check;
  SupportLoads loads;
  std::vector<HungSupport> hung;
  const auto step = [progress = context.options.progress] {
    if (progress != nullptr) progress->step(k_steps_a_run);
  };
  for (FreeRun& run : make_free_runs(context)) {
    if (!is_wanted(run.run->name, only)) continue;
    if (run.festoon != nullptr) {
      FestoonCheck festoon = check_festoon_run(context, run, movers, raised);
      append(check.findings, std::move(festoon.findings));
      check.runs.push_back(std::move(festoon.run));
      check.supports.push_back(std::move(festoon.support));
      step();
      continue;
    }
    const RunWindow window = window_of(context, run);
    append(check.findings, check_free_run_length(context, run, window));
    // One for all lines and slips: it keeps where it rests.
    if (run.support) run.support = support_with(run, window.length_mm);
    FreeRunFigures figures = limp_figures(context, run, window);
    const bool hardly_meant = hangs_on_hardly_meant(run, window.length_mm);
    if (window.open() && window.length_mm > figures.farthest_mm && !hardly_meant) {
      std::vector<Finding> found;
      for (const Slip slip : slips_of(run)) {
        check_shapes(context, run, window, movers, raised, slip, figures, loads, found);
      }
      append(check.findings, std::move(found));
    }
    if (run.support && !hardly_meant) keep_support(context, run, window.length_mm, hung);
    check.runs.push_back(std::move(figures));
    step();
  }
  check.findings = farthest_of_each_support(std::move(check.findings));
  append(check.findings, check_hooks(loads, check.supports));
  for (const HungSupport& h : hung) {
    SupportCheck support = check_moving_support(context, h);
    append(check.findings, std::move(support.findings));
    check.supports.push_back(std::move(support.figures));
  }
  return check;
}

}  // namespace bight::study
