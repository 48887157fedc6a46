#pragma once
// The shapes of a free line over its travel. A stiff line can have more than one shape at a pose:
// the one counts that it comes to from the home pose, followed from pose to pose. Where it cannot
// follow and jumps to another shape, that is told.

#include <algorithm>
#include <optional>
#include <vector>

#include "study/free_run_grid.h"
#include "study/free_run_rod.h"

namespace bight::study {

/// Between two neighbouring poses the shape jumps, or it depends on the way that was taken.
struct Snap {
  std::vector<double> from;
  std::vector<double> to;
  double jump_mm = 0.0;  ///< largest motion of a point of the line
};

struct FreeRunShapes {
  FreeRunRod solver;             ///< of this line, for looking closer
  PoseGrid grid;                 ///< of joints that shape the line
  std::vector<RodShape> shapes;  ///< one a pose
  std::size_t not_converged = 0;
  std::vector<double> first_not_converged;
  std::vector<Snap> snaps;  ///< in the order of the poses
};

/// Poses are followed along the first joint from home, then along the second from each of these...:
/// each row is a chunk of its own, so the result does not depend on the threads. `known`: shapes of
/// the same line at some of the poses, its first one among them; they are taken as they are unless
/// they do not follow from their neighbours.
FreeRunShapes free_run_shapes(const Context& context, const FreeRunRod& line,
                              const PoseGrid& shaping, const FreeRunShapes* known = nullptr);

/// The pose of the machine's home position.
std::vector<double> home_pose(const Context& context);

/// Best value found near a pose of the grid: one joint at a time, the step halved when nothing gets
/// better, down to 1 mm. `measure` is made small; a shape that does not converge is left out.
struct RefinedShape {
  double measure = 0.0;
  std::vector<double> pose;
  RodShape shape;
};
template <class Measure>
RefinedShape refine_shape(const Context& context, FreeRunRod& rod, double step,
                          const std::vector<double>& pose, const RodShape& shape,
                          const Measure& measure) {
  RefinedShape best{measure(shape), pose, shape};
  constexpr double k_last_step_mm = 1.0;
  double h = 0.5 * step;
  while (h >= k_last_step_mm) {
    for (std::size_t j = 0; j < context.machine.joints.size(); ++j) {
      if (!rod.shaped_by(j)) continue;
      const auto& travel = context.machine.joints[j].travel;
      for (const double sign : {1.0, -1.0}) {
        std::vector<double> trial = best.pose;
        trial[j] = std::clamp(trial[j] + sign * h, travel[0], travel[1]);
        if (trial[j] == best.pose[j]) continue;
        RodShape found = rod.solve_from(best.shape.points, trial);
        if (!found.converged()) continue;
        const double value = measure(found);
        if (value < best.measure) best = {value, std::move(trial), std::move(found)};
      }
    }
    h *= 0.5;
  }
  return best;
}

}  // namespace bight::study
