#pragma once
// The shapes of a drag chain over the travel of its moving bracket, at as many poses as its figures
// need.

#include <array>
#include <cstddef>
#include <vector>

#include "base/progress.h"
#include "chain/chain_frame.h"
#include "chain/chain_shape.h"
#include "plan/plan.h"

namespace bight::chain {

struct ChainShapePose {
  double moving_mm = 0.0;  ///< x of the moving pin from the fixed one
  ChainShape shape;
  double strays_mm = 0.0;  ///< from the ideal loop; 0 without a shape
};

/// What makes a pose long to solve.
bool tried_as_rod(const ChainShapePose& pose);

struct ChainShapeTravelOptions {
  /// Halve a step of the travel while a figure at its middle is off the mean of its ends by more
  /// (or by more than it may be off itself, of a rod): front, gap, sag and what strays, mm; pull
  /// and force of the tray over the weight of the chain, moments over weight x length.
  double change_mm = 0.1;
  double change_share = 0.005;
  int first_steps = 8;
  double finest_mm = 0.5;               ///< no step is shorter: what changes more there jumps
  std::size_t most_points = 1'000'000;  ///< of all shapes together: then no step is halved any more
  /// The same, of poses solved as a rod: up to a third of a second each, more often some 20 ms.
  std::size_t most_by_rod = 34;
  int finest_by_rod = 64;  ///< no step between them is shorter than this part of the travel
  /// Only for cancel: both ends of the travel, where they take long, are solved nevertheless.
  const Progress* progress = nullptr;
};

/// `poses` rise and include both ends of the travel. Each pose is solved on its own, so none
/// depends on the way there.
struct ChainShapeTravel {
  std::vector<ChainShapePose> poses;
  double step_mm = 0.0;  ///< largest between neighbours
  bool settled = false;  ///< figures change by no more, or jump between two neighbours
};

/// `problem.moving.x` is replaced by each pose.
ChainShapeTravel chain_shapes(const ChainShapeProblem& problem,
                              const std::array<double, 2>& moving_mm,
                              const ChainShapeTravelOptions& options = {});

/// The same with poses at all of these, too.
ChainShapeTravel with_poses(ChainShapeTravel travel, const ChainShapeProblem& problem,
                            const std::vector<double>& moving_mm);

/// The problem of a chain of the plan in its frame; gravity along -Z of the plan. `fill_kg_per_m`
/// is the weight of its lines.
ChainShapeProblem chain_shape_problem(const plan::Chain& chain, const ChainFrame& frame,
                                      double fill_kg_per_m);

}  // namespace bight::chain
