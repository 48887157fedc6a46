#include "study/free_run_grid.h"

#include <algorithm>
#include <cmath>

namespace bight::study {
namespace {

/// Steps along a joint that shapes the line: fewer would miss how it bends in between.
constexpr int k_least_steps = 4;

bool shapes(const FreeRun& run, std::size_t joint) {
  return run.shaped_by(joint);
}

}  // namespace

std::size_t PoseGrid::size() const {
  std::size_t n = 1;
  for (const auto& v : values) n *= v.size();
  return n;
}

std::vector<double> PoseGrid::pose(std::size_t index) const {
  std::vector<double> pose(values.size());
  for (std::size_t j = 0; j < values.size(); ++j) {
    pose[j] = values[j][index % values[j].size()];
    index /= values[j].size();
  }
  return pose;
}

PoseGrid free_run_grid(const Context& context, const FreeRun& run,
                       const std::vector<bool>& approaching) {
  return free_run_grid(context, run, approaching, context.options.free_run_poses);
}

PoseGrid free_run_grid(const Context& context, const FreeRun& run,
                       const std::vector<bool>& approaching, std::size_t poses) {
  const auto& joints = context.machine.joints;
  const auto span = [&](std::size_t j) { return joints[j].travel[1] - joints[j].travel[0]; };
  std::vector<int> steps(joints.size(), 0);
  double widest = 0.0;
  for (std::size_t j = 0; j < joints.size(); ++j) {
    if ((shapes(run, j) || approaching[j]) && span(j) > 0.0) widest = std::max(widest, span(j));
  }
  constexpr double k_finest_mm = 1.0;
  constexpr double k_growth = 1.05;
  for (double step = k_finest_mm; widest > 0.0; step *= k_growth) {
    std::size_t product = 1;
    for (std::size_t j = 0; j < joints.size(); ++j) {
      if (!(shapes(run, j) || approaching[j]) || !(span(j) > 0.0)) continue;
      const int least = shapes(run, j) ? k_least_steps : 1;
      steps[j] = std::max(least, static_cast<int>(std::ceil(span(j) / step)));
      product *= static_cast<std::size_t>(steps[j]) + 1;
    }
    if (product <= poses || step > widest) break;
  }
  PoseGrid grid;
  const std::vector<double> neutral = neutral_pose(context.machine);
  for (std::size_t j = 0; j < joints.size(); ++j) {
    if (steps[j] == 0) {
      grid.values.push_back({neutral[j]});
      continue;
    }
    std::vector<double> values;
    for (int i = 0; i <= steps[j]; ++i) {
      values.push_back(i == steps[j] ? joints[j].travel[1]
                                     : joints[j].travel[0] + span(j) * i / steps[j]);
    }
    if (joints[j].home == plan::End::high) std::reverse(values.begin(), values.end());
    grid.values.push_back(std::move(values));
    grid.step_mm = std::max(grid.step_mm, span(j) / steps[j]);
  }
  return grid;
}

PoseGrid shaping_grid(const PoseGrid& grid, const FreeRun& run) {
  PoseGrid shaping = grid;
  for (std::size_t j = 0; j < grid.values.size(); ++j) {
    if (!shapes(run, j)) shaping.values[j].resize(1);
  }
  shaping.step_mm = largest_step(shaping);
  return shaping;
}

double largest_step(const PoseGrid& grid) {
  double step = 0.0;
  for (const auto& v : grid.values) {
    for (std::size_t i = 1; i < v.size(); ++i) step = std::max(step, std::abs(v[i] - v[i - 1]));
  }
  return step;
}

PoseGrid coarser(const PoseGrid& grid, std::size_t poses) {
  PoseGrid result = grid;
  while (result.size() > poses) {
    auto longest =
        std::max_element(result.values.begin(), result.values.end(),
                         [](const auto& a, const auto& b) { return a.size() < b.size(); });
    if (longest->size() <= 3) break;
    // Every second value, and the last.
    std::vector<double> kept;
    for (std::size_t i = 0; i < longest->size(); i += 2) kept.push_back((*longest)[i]);
    if (kept.back() != longest->back()) kept.push_back(longest->back());
    *longest = std::move(kept);
  }
  result.step_mm = largest_step(result);
  return result;
}

}  // namespace bight::study
