#include "editor/live_runs.h"

#include <algorithm>

#include "base/number.h"
#include "study/check_free_run_bend.h"
#include "study/check_free_run_length.h"
#include "study/free_run_grid.h"
#include "study/free_run_rod.h"
#include "study/free_run_shapes.h"

namespace bight::editor {
namespace {

void add(std::vector<std::string>& key, double value) {
  key.push_back(shortest(value));
}

void add(std::vector<std::string>& key, const Vec3& v) {
  for (int i = 0; i < 3; ++i) add(key, v[i]);
}

void add(std::vector<std::string>& key, const std::optional<double>& value) {
  key.push_back(value ? shortest(*value) : "none");
}

void add(std::vector<std::string>& key, const study::FreeEnd& end) {
  key.insert(key.end(), {end.name, end.body});
  add(key, end.at);
  add(key, end.direction.value_or(Vec3(0.0)));
}

void add(std::vector<std::string>& key, const plan::Article& a) {
  key.push_back(a.name);
  key.push_back(std::to_string(static_cast<int>(a.kind)));
  add(key, a.outside_diameter);
  add(key, a.mass);
  for (const auto& value : {a.bend_radius_moving, a.bend_radius_fixed, a.bend_multiple_moving,
                            a.bend_multiple_fixed, a.stiffness, a.max_pull}) {
    add(key, value);
  }
}

std::vector<std::string> key_of(const study::Context& context, const study::FreeRun& run) {
  const plan::Leg& leg = run.run->legs[run.leg];
  std::vector<std::string> key = {run.run->name, std::to_string(run.leg),
                                  context.plan.inches ? "in" : "mm"};
  add(key, run.from);
  add(key, run.to);
  add(key, leg.length);
  add(key, leg.slack_percent);
  add(key, leg.keep_above);
  add(key, context.plan.rules.default_multiple_moving);
  for (const plan::Joint& joint : context.machine.joints) {
    key.push_back(joint.name);
    add(key, joint.travel[0]);
    add(key, joint.travel[1]);
    key.push_back(joint.home == plan::End::low ? "low" : "high");
  }
  for (const free::JointMotion& motion : run.anchors.joints) {
    add(key, motion.start);
    add(key, motion.end);
  }
  for (const plan::Line* line : run.lines) {
    key.push_back(line->name);
    for (const plan::Article& article : context.plan.articles) {
      if (article.name == line->article) add(key, article);
    }
  }
  return key;
}

/// What a full check said of the run, or nullptr.
const study::FreeRunFigures* figures_in(const study::StudyResult* last, const study::FreeRun& run) {
  if (last == nullptr) return nullptr;
  for (const study::FreeRunFigures& figures : last->free_runs) {
    if (figures.run == run.run->name && figures.leg == run.leg + 1) return &figures;
  }
  return nullptr;
}

void add_shapes(const study::RunRod& line, const study::FreeRunShapes& shapes,
                const study::RodExtremes& extremes, study::FreeRunFigures& figures) {
  figures.shape_poses += shapes.shapes.size();
  figures.shape_step_mm = std::max(figures.shape_step_mm, shapes.grid.step_mm);
  figures.not_converged += shapes.not_converged;
  figures.greatest_pull_N = std::max(figures.greatest_pull_N, extremes.greatest_pull_N);
  figures.pull_start_N = std::max(figures.pull_start_N, extremes.pull_start_N);
  figures.pull_end_N = std::max(figures.pull_end_N, extremes.pull_end_N);
  if (!extremes.lowest.pose.empty() &&
      (!figures.lowest_is_sampled || extremes.lowest.measure < figures.lowest_mm)) {
    figures.lowest_mm = extremes.lowest.measure;
    figures.lowest_pose = extremes.lowest.pose;
    figures.lowest_is_sampled = true;
  }
  const double margin = extremes.tightest.measure - line.allowed_radius_mm;
  if (!extremes.tightest.pose.empty() &&
      (figures.bend_line.empty() || margin < figures.radius_mm - figures.allowed_radius_mm)) {
    figures.bend_line = line.line->name;
    figures.radius_mm = extremes.tightest.measure;
    figures.radius_at_mm = extremes.tightest.shape.radius_at_mm;
    figures.radius_pose = extremes.tightest.pose;
    figures.allowed_radius_mm = line.allowed_radius_mm;
    figures.stiffness_Nm2 = line.stiffness.value;
    figures.stiffness_measured = line.stiffness.measured;
  }
}

}  // namespace

LiveRunCheck::Known LiveRunCheck::compute(const study::Context& context,
                                          const study::FreeRun& run) {
  Known known;
  const study::RunWindow window = study::window_of(context, run);
  known.figures = study::window_figures(run, window);
  known.findings = study::check_free_run_length(context, run, window);
  if (!window.open() || !(window.length_mm > known.figures.farthest_mm)) return known;
  if (study::hangs_on_hardly_meant(run, window.length_mm)) return known;
  const std::vector<bool> approaching(context.machine.joints.size(), false);
  const study::PoseGrid grid =
      study::shaping_grid(study::free_run_grid(context, run, approaching), run);
  for (const study::RunRod& line : study::rods_of(context, run, window.length_mm)) {
    const study::FreeRunRod rod = study::make_rod(run, line.rod, study::home_pose(context));
    if (!rod.planar()) {
      known.left_out = true;
      continue;
    }
    const study::FreeRunShapes shapes = study::free_run_shapes(context, rod, grid);
    const study::RodExtremes extremes = study::rod_extremes(context, shapes);
    add_shapes(line, shapes, extremes, known.figures);
    study::append(known.findings,
                  study::check_free_run_bend(context, run, window, line, shapes, extremes));
  }
  for (study::Finding& finding : known.findings) finding.advice.clear();
  return known;
}

LiveRuns LiveRunCheck::check(const study::Context& context, const study::StudyResult* last) {
  LiveRuns result;
  std::vector<Known> known;
  for (const study::FreeRun& run : study::make_free_runs(context)) {
    if (run.support != nullptr || run.festoon != nullptr) {
      result.left_out.push_back(run.from.name + " to " + run.to.name);
      const study::FreeRunFigures* before = figures_in(last, run);
      if (before != nullptr) {
        result.runs.push_back(*before);
      } else {
        study::FreeRunFigures unknown;
        unknown.run = run.run->name;
        unknown.leg = run.leg + 1;
        unknown.from = run.from.name;
        unknown.to = run.to.name;
        result.runs.push_back(std::move(unknown));
        result.unknown_lengths.push_back(run.run->name);
      }
      continue;
    }
    std::vector<std::string> key = key_of(context, run);
    const auto old =
        std::find_if(known_.begin(), known_.end(), [&](const Known& k) { return k.key == key; });
    if (old != known_.end()) {
      known.push_back(*old);
    } else {
      known.push_back(compute(context, run));
      known.back().key = std::move(key);
      ++result.computed;
    }
    const Known& here = known.back();
    result.runs.push_back(here.figures);
    result.findings.insert(result.findings.end(), here.findings.begin(), here.findings.end());
    if (here.left_out) result.left_out.push_back(here.figures.from + " to " + here.figures.to);
  }
  known_ = std::move(known);
  return result;
}

}  // namespace bight::editor
