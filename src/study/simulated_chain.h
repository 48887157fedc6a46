#pragma once
// Drag chains of the plan with their shapes under their own weight over the travel: solved once,
// for all checks that look at them.

#include <optional>
#include <string>
#include <vector>

#include "chain/chain_frame.h"
#include "chain/chain_shape_travel.h"
#include "study/context.h"

namespace bight::study {

struct SimulatedChain {
  const plan::Chain* chain = nullptr;
  chain::ChainFrame frame;
  double allowance_mm = 0.0;  ///< by which the clearance proof's pieces exceed the ideal loop
  chain::ChainShapeProblem problem;  ///< of any pose: moving.x is its place
  chain::ChainShapeTravel travel;    ///< without poses when the chain has no weight
};

/// One a chain figure (check_chains), in order; nothing for a chain that has no loop. `figures`
/// give the mass of the fill. Poses are closer where figures change fast (chain/chain_shape_travel)
/// and where a limit could be passed between them: off the ideal loop, down on the lower run, room.
std::vector<std::optional<SimulatedChain>> simulate_chains(
    const Context& context, const std::vector<ChainFigures>& figures);

/// Slots and measuring: a chain is mounted to about this, so less off its ideal loop says nothing.
inline constexpr double k_mounted_mm = 1.0;

/// Mounted farther apart than 2 R: no ideal loop, so the clearance proof has no pieces for it.
bool is_raised(const SimulatedChain& s);

/// Largest step of the joint between neighbouring poses.
double joint_step(const SimulatedChain& s);

/// Pose of the machine with the moving pin of the chain there.
std::vector<double> pose_of(const Context& context, const SimulatedChain& s, double moving_mm);

/// About one of its simulated poses.
Finding finding_of(const Context& context, const SimulatedChain& s, Severity severity,
                   const chain::ChainShapePose& pose, std::string check);

/// Of the outside of the links beyond the farther bracket, as LoopResult::loop_room_mm.
double room_used(const SimulatedChain& s, const chain::ChainShapePose& pose);

/// The pose with a shape where a figure is largest, or nothing.
template <class Figure>
const chain::ChainShapePose* worst_pose(const SimulatedChain& s, const Figure& figure) {
  const chain::ChainShapePose* worst = nullptr;
  for (const chain::ChainShapePose& pose : s.travel.poses) {
    if (pose.shape.has_shape() && (!worst || figure(pose) > figure(*worst))) worst = &pose;
  }
  return worst;
}

}  // namespace bight::study
