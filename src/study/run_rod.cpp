#include "study/run_rod.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "base/number.h"
#include "line/bend_limit.h"
#include "study/lookup.h"

namespace bight::study {

std::string two_digits(double value) {
  if (value == 0.0) return "0";
  const double unit = std::pow(10.0, std::floor(std::log10(value)) - 1.0);
  return fixed(std::round(value / unit) * unit,
               std::max(0, static_cast<int>(std::round(-std::log10(unit)))));
}

std::string stiffness_text(const LineStiffness& stiffness) {
  const std::string value = two_digits(stiffness.value) + " N m^2";
  if (stiffness.measured) return value + " given";
  return value + " estimated, " + two_digits(stiffness.lower) + " to " +
         two_digits(stiffness.upper);
}

std::vector<RunRod> rods_of(const Context& context, const FreeRun& run, double length_mm) {
  std::vector<RunRod> rods;
  for (const plan::Line* line : run.lines) {
    const plan::Article& article = by_name(context.plan.articles, line->article);
    const auto same = std::find_if(rods.begin(), rods.end(),
                                   [&](const RunRod& r) { return r.article == &article; });
    if (same != rods.end()) {
      ++same->lines;
      continue;
    }
    RunRod rod;
    rod.line = line;
    rod.article = &article;
    rod.stiffness = line_stiffness(article);
    rod.rod = {length_mm, article.mass, rod.stiffness.value};
    const line::BendLimit limit =
        line::bend_limit(article, line::BendUse::moving, context.plan.rules);
    rod.allowed_radius_mm = limit.centre_line_mm;
    rod.allowed_because = limit.because;
    rods.push_back(std::move(rod));
  }
  return rods;
}

RodExtremes rod_extremes(const Context& context, const FreeRunShapes& shapes) {
  constexpr double k_infinity = std::numeric_limits<double>::infinity();
  RodExtremes extremes;
  extremes.greatest_pull_N = -k_infinity;
  extremes.tightest.measure = extremes.lowest.measure = k_infinity;
  std::vector<std::pair<double, std::size_t>> by_radius;
  std::optional<std::size_t> lowest;
  const auto larger = [](double value, const std::vector<double>& pose, double& best,
                         std::vector<double>& best_pose) {
    if (!(value > best)) return;
    best = value;
    best_pose = pose;
  };
  for (std::size_t i = 0; i < shapes.shapes.size(); ++i) {
    const RodShape& s = shapes.shapes[i];
    if (!s.converged()) continue;
    const std::vector<double> pose = shapes.grid.pose(i);
    by_radius.emplace_back(s.radius_mm, i);
    if (!lowest || s.lowest.z < shapes.shapes[*lowest].lowest.z) lowest = i;
    larger(glm::length(s.start_force_N), pose, extremes.pull_start_N, extremes.pull_start_pose);
    larger(glm::length(s.end_force_N), pose, extremes.pull_end_N, extremes.pull_end_pose);
    larger(s.greatest_pull_N, pose, extremes.greatest_pull_N, extremes.greatest_pull_pose);
    extremes.moment_start_Nmm = std::max(extremes.moment_start_Nmm, s.start_moment_Nmm);
    extremes.moment_end_Nmm = std::max(extremes.moment_end_Nmm, s.end_moment_Nmm);
  }
  if (!lowest) return extremes;
  FreeRunRod rod = shapes.solver;
  // The tightest poses of the grid may lie beside different smallest radii.
  constexpr std::size_t k_starts = 3;
  std::sort(by_radius.begin(), by_radius.end());
  for (std::size_t k = 0; k < std::min(k_starts, by_radius.size()); ++k) {
    const std::size_t i = by_radius[k].second;
    RefinedShape found =
        refine_shape(context, rod, shapes.grid.step_mm, shapes.grid.pose(i), shapes.shapes[i],
                     [](const RodShape& s) { return s.radius_mm; });
    if (found.measure < extremes.tightest.measure) extremes.tightest = std::move(found);
  }
  // The radius at a clamp needs finer links than the shape does.
  constexpr int k_fine = 4 * k_rod_segments;
  FreeRunRod fine = rod.changed(rod.rod(), k_fine);
  const RodShape exact = fine.solve_from(extremes.tightest.shape.points, extremes.tightest.pose);
  if (exact.converged()) {
    extremes.tightest.measure = exact.radius_mm;
    extremes.tightest.shape.radius_at_mm = exact.radius_at_mm;
  }
  extremes.lowest =
      refine_shape(context, rod, shapes.grid.step_mm, shapes.grid.pose(*lowest),
                   shapes.shapes[*lowest], [](const RodShape& s) { return s.lowest.z; });
  // Joints that do not shape the line may still lower it as a whole.
  const std::vector<double> shaped_at = extremes.lowest.pose;
  for (std::size_t j = 0; j < context.machine.joints.size(); ++j) {
    const double rate = rod.anchors().joints[j].start.z;
    if (rod.shaped_by(j) || rate == 0.0) continue;
    extremes.lowest.pose[j] = context.machine.joints[j].travel[rate > 0.0 ? 0 : 1];
    extremes.lowest.measure += rate * (extremes.lowest.pose[j] - shaped_at[j]);
  }
  if (extremes.lowest.pose != shaped_at) {
    RodShape moved = rod.solve_from(extremes.lowest.shape.points, extremes.lowest.pose);
    if (moved.converged()) extremes.lowest.shape = std::move(moved);
  }
  return extremes;
}

}  // namespace bight::study
