#include "study/check_festoon.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/tolerance.h"
#include "free/support_festoon.h"
#include "free/support_span.h"
#include "study/check_free_run_length.h"
#include "study/check_free_run_near.h"
#include "study/check_support.h"
#include "study/festoon_loop.h"
#include "study/festoon_swing.h"
#include "study/free_run_clearance.h"
#include "study/free_run_grid.h"
#include "study/free_run_refine.h"
#include "study/run_rod.h"
#include "study/support_window.h"

namespace bight::study {
namespace {

std::string run_name(const FreeRun& run) {
  return run.run->name + ", " + run.from.name + " to " + run.to.name;
}

Finding finding_of(const FreeRun& run, std::string check, Severity severity) {
  return make_finding(std::move(check), severity, Certainty::sampled,
                      {run.from.name, run.run->name});
}

/// The trolleys pushed together are longer than the track leaves room for.
void check_stack(const Context& context, const FreeRun& run, const RunWindow& window,
                 const free::FestoonResult& row, std::vector<Finding>& findings) {
  if (row.status != free::FestoonStatus::no_room_to_stack) return;
  Finding f = finding_of(run, "support range", Severity::stop);
  f.certainty = Certainty::proved;
  f.pose = window.nearest.pose;
  f.value = row.stacked_mm;
  f.limit = window.nearest.distance_mm;
  f.what = run_name(run) + ": its trolleys pushed together take " +
           context.length(row.stacked_mm, 0) + ", its tow comes within " +
           context.length(f.limit, 0) + " of its fixed end";
  const int loops = static_cast<int>(f.limit / run.festoon->stacked_pitch);
  f.advice = "move its fixed end back by " + context.length(std::ceil(row.outside_by_mm), 0);
  if (loops >= 1) f.advice += ", or take " + std::to_string(loops) + " loops";
  findings.push_back(std::move(f));
}

/// Points of all loops where the tow is at a pose.
std::vector<Vec3> loops_at(const FreeRun& run, const free::FestoonProblem& row,
                           const free::Pose& pose) {
  constexpr int k_pieces = 16;
  const Vec3 start = free::start_at(run.anchors, pose);
  const double tow = glm::distance(start, free::end_at(run.anchors, pose));
  const Vec3 along = *run.festoon->track;
  const double pitch = tow / row.loops;
  const auto model = free::limp_line();
  std::vector<Vec3> points;
  for (int i = 0; i < row.loops; ++i) {
    const Vec3 from = start + (i * pitch + 0.5 * row.saddle_mm) * along;
    const Vec3 to = from + (pitch - row.saddle_mm) * along;
    const auto loop = model->points(from, {to, row.loop_mm, row.mass_kg_m, {}}, k_pieces);
    points.insert(points.end(), loop.begin(), loop.end());
  }
  return points;
}

free::FestoonAt row_at(const FreeRun& run, const free::FestoonProblem& row,
                       const free::Pose& pose) {
  return free::festoon_at(
      row, glm::distance(free::start_at(run.anchors, pose), free::end_at(run.anchors, pose)));
}

/// How much deeper friction can make a loop.
double deeper_by_friction(const free::FestoonAt& at) {
  return at.most_depth_mm - at.depth_mm;
}

/// Distance of the loops to a target, as deep as friction can make them; infinite where they do not
/// hang, or not nearer than `within_mm`.
double loop_distance(const FreeRun& run, const free::FestoonProblem& row, const LineTarget& target,
                     const free::Pose& pose, double diameter_mm, double within_mm) {
  const free::FestoonAt at = row_at(run, row, pose);
  if (!std::isfinite(at.pitch_mm)) return std::numeric_limits<double>::infinity();
  const double deeper = deeper_by_friction(at);
  return line_distance(target, pose, loops_at(run, row, pose), row.loops * row.loop_mm, diameter_mm,
                       within_mm + deeper) -
         deeper;
}

/// A pose and how near the loops come there.
struct NearPose {
  double distance_mm = std::numeric_limits<double>::infinity();
  std::vector<double> pose;
};

/// Nearest of the grid, then one joint at a time, the step halved when nothing gets nearer, down to
/// 1 mm.
NearPose nearest_pose(const Context& context, const FreeRun& run, const free::FestoonProblem& row,
                      const LineTarget& target, const PoseGrid& grid, double diameter_mm) {
  NearPose nearest;
  const auto look = [&](const std::vector<double>& pose) {
    const double d = loop_distance(run, row, target, pose, diameter_mm, nearest.distance_mm);
    if (d < nearest.distance_mm) nearest = {d, pose};
  };
  for (std::size_t i = 0; i < grid.size(); ++i) {
    if (is_cancelled(context.options.progress)) return {};
    look(grid.pose(i));
  }
  if (nearest.pose.empty()) return nearest;
  constexpr double k_last_step_mm = 1.0;
  double by = 0.5 * grid.step_mm;
  while (by >= k_last_step_mm) {
    for (std::size_t j = 0; j < grid.values.size(); ++j) {
      if (grid.values[j].size() < 2) continue;
      const auto& travel = context.machine.joints[j].travel;
      for (const double sign : {1.0, -1.0}) {
        std::vector<double> pose = nearest.pose;
        pose[j] = std::clamp(pose[j] + sign * by, travel[0], travel[1]);
        look(pose);
      }
    }
    by *= 0.5;
  }
  return nearest;
}

/// All loops as the shape of one line, at every pose of the grid.
FreeRunShapes loop_shapes(const Context& context, const FreeRun& run,
                          const free::FestoonProblem& row, const PoseGrid& grid) {
  FreeRunShapes all{FreeRunRod(festoon_loop(run, row, 0).anchors,
                               rods_of(context, run, row.loop_mm).front().rod, home_pose(context)),
                    grid,
                    {},
                    0,
                    {},
                    {}};
  for (std::size_t p = 0; p < grid.size(); ++p) {
    const free::Pose pose = grid.pose(p);
    RodShape shape;
    if (std::isfinite(row_at(run, row, pose).pitch_mm)) {
      shape.status = rod::RodStatus::converged;
      shape.points = loops_at(run, row, pose);
    } else if (all.not_converged++ == 0) {
      all.first_not_converged = pose;
    }
    all.shapes.push_back(std::move(shape));
  }
  return all;
}

/// Returns where the loops come nearest to each thing that they do not touch.
std::vector<LoopApproach> check_near(const Context& context, const FreeRun& run,
                                     const RunWindow& window, const free::FestoonProblem& row,
                                     double diameter_mm, const std::vector<Mover>& movers,
                                     const std::vector<RaisedChain>& raised, FestoonCheck& check) {
  std::vector<LoopApproach> approaches;
  const LineTargets targets =
      line_targets(context, run, window.length_mm, diameter_mm, movers, raised);
  const auto shapes_at = [&](const PoseGrid& grid, const FreeRunShapes*) {
    return loop_shapes(context, run, row, grid);
  };
  const PoseGrid even = free_run_grid(context, run, approaching_joints(run, targets.targets));
  double deeper = 0.0;
  for (std::size_t i = 0; i < even.size(); ++i) {
    const free::FestoonAt at = row_at(run, row, even.pose(i));
    if (std::isfinite(at.pitch_mm)) deeper = std::max(deeper, deeper_by_friction(at));
  }
  const RefinedShapes refined =
      refined_shapes(context, run, shapes_at, diameter_mm + 2.0 * deeper, targets.targets, {});
  const PoseGrid& grid = refined.grid;
  FreeRunFigures& f = check.run;
  f.settled = refined.settled;
  f.proved_clear = targets.proved;
  f.poses = grid.size();
  f.step_mm = grid.step_mm;
  for (const LineTarget& target : targets.targets) {
    const auto [nearest, where] = nearest_pose(context, run, row, target, grid, diameter_mm);
    if (is_cancelled(context.options.progress)) return {};
    if (where.empty()) continue;
    if (nearest > 0.0) approaches.push_back({target, where});
    f.clearance_certainty = Certainty::sampled;
    if (f.clearance_to.empty() ||
        nearest - target.wanted_mm < f.clearance_mm - f.clearance_wanted_mm) {
      f.clearance_to = target.mover->owner;
      f.clearance_mm = std::max(0.0, nearest);
      f.clearance_wanted_mm = target.wanted_mm;
      f.clearance_pose = where;
    }
    if (nearest > 0.0 && nearest >= target.wanted_mm) continue;
    const bool said =
        std::any_of(check.findings.begin(), check.findings.end(), [&](const Finding& other) {
          return other.check == "free line clearance" && other.things[1] == target.mover->owner;
        });
    if (said) continue;
    Finding finding = make_finding("free line clearance", Severity::act, Certainty::sampled,
                                   {run.run->name, target.mover->owner});
    finding.pose = where;
    finding.value = std::max(0.0, nearest);
    finding.limit = target.wanted_mm;
    finding.poses = grid.size();
    finding.step_mm = grid.step_mm;
    finding.what = run_name(run) + ": its loops " +
                   (nearest <= 0.0 ? "touch " + target.mover->owner
                                   : "come within " + context.length(nearest, 0) + " of " +
                                         target.mover->owner + ", " +
                                         context.length(target.wanted_mm, 0) + " wanted");
    finding.advice = "raise the track by " +
                     context.length(std::ceil(std::max(target.wanted_mm, 1.0) - nearest), 0) +
                     ", or take more loops: " + std::to_string(row.loops + 1);
    check.findings.push_back(std::move(finding));
  }
  append(check.findings, check_unknown_chains(context, run, targets.targets, check.findings));
  return approaches;
}

void check_swings(const Context& context, const FreeRun& run, const free::FestoonProblem& row,
                  const std::vector<LoopApproach>& approaches, FestoonCheck& check) {
  SwingCheck swing = check_festoon_swing(context, run, row, approaches);
  append(check.findings, std::move(swing.findings));
  if (swing.not_followed) check.run.swing_left_out = k_not_followed;
  check.run.swing_mm = swing.amplitude_mm;
  check.run.swing_period_s = swing.period_s;
  check.run.swing_pose = std::move(swing.pose);
}

/// How each line bends in the narrowest loop.
void check_loops(const Context& context, const FreeRun& run, const RunWindow& window,
                 const free::FestoonProblem& row, const free::FestoonAt& narrowest,
                 FestoonCheck& check) {
  for (const RunRod& line : rods_of(context, run, row.loop_mm)) {
    free::AnchorPair ends;
    ends.end = Vec3(std::max(1.0, narrowest.least_pitch_mm - row.saddle_mm), 0.0, 0.0);
    FreeRunRod rod(ends, line.rod, {});
    const RodShape shape = rod.solve_cold({});
    if (!shape.converged()) continue;
    FreeRunFigures& f = check.run;
    const double margin = shape.radius_mm - line.allowed_radius_mm;
    if (f.bend_line.empty() || margin < f.radius_mm - f.allowed_radius_mm) {
      f.bend_line = line.line->name;
      f.radius_mm = shape.radius_mm;
      f.radius_at_mm = shape.radius_at_mm;
      f.radius_pose = window.nearest.pose;
      f.allowed_radius_mm = line.allowed_radius_mm;
      f.stiffness_Nm2 = line.stiffness.value;
      f.stiffness_measured = line.stiffness.measured;
    }
    f.shape_poses = 1;
    if (shape.radius_mm >= line.allowed_radius_mm - k_length_equal_mm) continue;
    Finding finding = make_finding("line bend", Severity::act, Certainty::sampled,
                                   {run.run->name, run.from.name, run.to.name, line.line->name});
    finding.pose = window.nearest.pose;
    finding.value = shape.radius_mm;
    finding.limit = line.allowed_radius_mm;
    finding.poses = 1;
    finding.what = run_name(run) + ": " + line.line->name + " bends to " +
                   context.length(shape.radius_mm, 0) + " in its narrowest loop, its centre line " +
                   "allows " + context.length(line.allowed_radius_mm, 0) + " (" +
                   line.allowed_because + "; stiffness " + stiffness_text(line.stiffness) + ")";
    // Loops as wide as two radii can hang as half circles.
    finding.advice = "keep the trolleys " +
                     context.length(std::ceil(2.0 * line.allowed_radius_mm + row.saddle_mm), 0) +
                     " apart where they stack, by longer bumpers, or take fewer loops";
    check.findings.push_back(std::move(finding));
  }
}

}  // namespace

FestoonCheck check_festoon_run(const Context& context, const FreeRun& run,
                               const std::vector<Mover>& movers,
                               const std::vector<RaisedChain>& raised) {
  FestoonCheck check;
  const RunWindow window = window_of(context, run);
  check.findings = check_free_run_length(context, run, window);
  check.run = window_figures(run, window);
  FreeRunFigures& f = check.run;
  const free::FestoonProblem row = festoon_problem(context, run, window.length_mm);
  const free::FestoonResult result = free::check_festoon(row);
  check_stack(context, run, window, result, check.findings);

  SupportFigures& s = check.support;
  s.name = run.from.name;
  s.kind = to_text(plan::SupportKind::festoon);
  s.moves = true;
  s.unit = "mm";
  s.range_low = run.festoon->stacked_pitch;
  s.max_load_N = run.festoon->max_load;
  s.poses = 2;
  s.step_mm = window.farthest.distance_mm - window.nearest.distance_mm;
  const double weight =
      (row.mass_kg_m * window.length_mm / 1000.0 + (row.loops - 1) * row.trolley_kg) * k_gravity;
  if (result.status != free::FestoonStatus::fits) {
    f.lowest_mm = -std::numeric_limits<double>::infinity();
    s.load_N = weight;
    return check;
  }
  s.low = result.nearest.least_pitch_mm;
  s.high = result.farthest.most_pitch_mm;
  s.low_pose = window.nearest.pose;
  s.high_pose = window.farthest.pose;
  s.load_N = std::hypot(weight, result.farthest.most_pull_N);
  s.load_pose = window.farthest.pose;
  append(check.findings, check_load(s, {run.from.name, run.run->name}));
  f.lowest_mm = run.festoon->at.z - result.nearest.most_depth_mm;
  f.lowest_pose = window.nearest.pose;
  f.lowest_is_sampled = true;
  f.greatest_pull_N = f.pull_start_N = f.pull_end_N = result.farthest.most_pull_N;
  double diameter = 0.0;
  for (const RunRod& line : rods_of(context, run, row.loop_mm)) {
    diameter = std::max(diameter, line.article->outside_diameter);
  }
  check_loops(context, run, window, row, result.nearest, check);
  if (window.open()) {
    check_swings(context, run, row,
                 check_near(context, run, window, row, diameter, movers, raised, check), check);
  }
  return check;
}

}  // namespace bight::study
