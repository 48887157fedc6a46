#include "study/simulated_chain.h"

#include <algorithm>
#include <cmath>

#include "base/parallel.h"
#include "chain/chain_bodies.h"
#include "study/lookup.h"

namespace bight::study {
namespace {

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
    result.travel = chain::chain_shapes(result.problem, result.frame.loop.moving_mm);
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
