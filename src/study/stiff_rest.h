#pragma once
// Where an overhead support rests with its lines' bending stiffness, found from where it rests with
// limp lines: of several rests of stiff lines the one nearest to that of limp lines counts.

#include <array>
#include <optional>
#include <vector>

#include "plan/plan.h"
#include "study/hung_span.h"

namespace bight::study {

/// A support at a pose.
struct StiffProblem {
  const plan::Support& support;
  const std::vector<HungSpan>& spans;
  free::Pose pose;
  Vec3 place{0.0};  ///< of plan::Support::at at the pose
  std::optional<std::array<double, 2>> range;
};

/// Trolley, boom, pulley or retractor: the place along its coordinate where the force, less or plus
/// what friction holds, is below 1e-7 of the lines' weight and load. By secants, in a bracket once
/// there is one. `limp` has a shape.
SupportState stiff_rest_along(const StiffProblem& problem, Slip slip, const SupportState& limp);

/// Cord: the place of its lower end where the forces balance to 1e-7 of the lines' weight (at worst
/// a hundred times that). By Broyden's method (Mathematics of Computation 19, 1965) from the slopes
/// of limp lines, by Newton's where that does not do. `limp` has a shape.
SupportState stiff_rest_in_space(const StiffProblem& problem, const SupportState& limp);

}  // namespace bight::study
