#include "study/simulated_chain.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "base/parallel.h"
#include "base/tolerance.h"
#include "chain/chain_bodies.h"
#include "study/free_run_refine.h"
#include "study/lookup.h"

namespace bight::study {
namespace {

/// What is left of each limit at each pose, as the checks hold the shapes against it.
std::vector<std::vector<double>> margins_of(const SimulatedChain& s) {
  constexpr double k_none = std::numeric_limits<double>::infinity();
  const bool raised = is_raised(s);
  std::vector<std::vector<double>> margins(3);
  for (const chain::ChainShapePose& pose : s.travel.poses) {
    const chain::ChainShape& shape = pose.shape;
    const bool has_shape = shape.has_shape();
    const auto left = [&](bool counts, double limit, double used) {
      return has_shape && counts ? limit - used : k_none;
    };
    margins[0].push_back(left(!raised, s.allowance_mm + k_mounted_mm, pose.strays_mm));
    margins[1].push_back(left(true, shape.gap_mm - k_length_equal_mm, s.chain->outer_height));
    margins[2].push_back(
        left(raised && s.chain->room, s.chain->room.value_or(0.0), room_used(s, pose)));
  }
  return margins;
}

/// Poses where a limit could be passed between those that there are, up to twice as many; no more
/// than the travel may have where they are solved as a rod.
void look_closer(SimulatedChain& s) {
  const auto& poses = s.travel.poses;
  const bool rods = std::any_of(poses.begin(), poses.end(), chain::tried_as_rod);
  const std::size_t most =
      rods ? std::max(poses.size(), chain::ChainShapeTravelOptions{}.most_by_rod)
           : 2 * poses.size();
  for (;;) {
    PoseGrid grid;
    grid.values.emplace_back();
    for (const chain::ChainShapePose& pose : s.travel.poses) {
      grid.values[0].push_back(pose.moving_mm);
    }
    const CloserGrid closer = closer_grid(grid, margins_of(s), most);
    if (closer.grid.size() == grid.size()) {
      s.travel.settled = s.travel.settled && closer.settled;
      return;
    }
    s.travel = chain::with_poses(std::move(s.travel), s.problem, closer.grid.values[0]);
  }
}

std::optional<SimulatedChain> simulate(const Context& context, const ChainFigures& figures) {
  const plan::Chain& chain = by_name(context.plan.chains, figures.name);
  chain::ChainBodies bodies = chain::chain_bodies(chain, context.machine);
  const chain::ChainStatus status = bodies.frame.status;
  if (status != chain::ChainStatus::ok && status != chain::ChainStatus::bracket_too_high) return {};
  SimulatedChain result{.chain = &chain,
                        .frame = std::move(bodies.frame),
                        .allowance_mm = bodies.polygon_allowance_mm};
  result.problem = chain::chain_shape_problem(chain, result.frame, figures.fill.mass_kg_per_m);
  if (result.problem.mass_kg_per_m > 0.0) {
    result.travel = chain::chain_shapes(result.problem, result.frame.loop.moving_mm,
                                        {.progress = context.options.progress});
    if (!is_cancelled(context.options.progress)) look_closer(result);
  }
  return result;
}

}  // namespace

std::vector<std::optional<SimulatedChain>> simulate_chains(
    const Context& context, const std::vector<ChainFigures>& figures) {
  std::vector<std::optional<SimulatedChain>> simulated(figures.size());
  parallel_for(figures.size(), context.options.threads,
               [&](std::size_t i) { simulated[i] = simulate(context, figures[i]); });
  return simulated;
}

bool is_raised(const SimulatedChain& s) {
  return s.frame.status == chain::ChainStatus::bracket_too_high;
}

double joint_step(const SimulatedChain& s) {
  return s.travel.step_mm / std::abs(s.frame.rate);
}

std::vector<double> pose_of(const Context& context, const SimulatedChain& s, double moving_mm) {
  std::vector<double> pose = neutral_pose(context.machine);
  pose[s.frame.joint] = chain::joint_value(s.frame, moving_mm);
  return pose;
}

Finding finding_of(const Context& context, const SimulatedChain& s, Severity severity,
                   const chain::ChainShapePose& pose, std::string check) {
  Finding finding = make_finding(std::move(check), severity, Certainty::sampled, {s.chain->name});
  finding.pose = pose_of(context, s, pose.moving_mm);
  finding.poses = s.travel.poses.size();
  finding.step_mm = joint_step(s);
  return finding;
}

double room_used(const SimulatedChain& s, const chain::ChainShapePose& pose) {
  return pose.shape.front_mm + 0.5 * s.chain->outer_height -
         std::max(s.frame.loop.fixed_mm, s.frame.loop.moving_mm[1]);
}

}  // namespace bight::study
