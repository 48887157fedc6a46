#pragma once
// A grid of poses of a free run that is closer where a margin is small or changes fast: between two
// poses that are fine a line could still come too near to something, bend too tightly, droop or
// pull too much.

#include <cstddef>
#include <functional>
#include <optional>
#include <vector>

#include "study/free_run_clearance.h"
#include "study/free_run_grid.h"
#include "study/free_run_shapes.h"

namespace bight::study {

/// What passes something by: in longer steps no neighbour need tell of it, so a margin is in doubt
/// there as soon as it changes fast enough to run out.
struct Passing {
  double rate = 0.0;     ///< at which margins change at most, over that of the joint
  double step_mm = 0.0;  ///< steps up to this do not let it pass unnoticed
};

struct CloserGrid {
  PoseGrid grid;
  bool settled = true;  ///< no margin could run out between the poses that were given
};

/// The grid with the steps halved across which a margin could run out, the worst first, as long as
/// it has no more than `most` poses, down to 5 mm; the same where there is no doubt. `margins`: of
/// each limit what is left of it at each pose, >= 0 when it is kept, infinite when it does not
/// count there. One that runs out at some pose is known, and not looked at.
/// `passing`: where a margin may be lost and come back between two poses.
CloserGrid closer_grid(const PoseGrid& grid, const std::vector<std::vector<double>>& margins,
                       std::size_t most, const std::optional<Passing>& passing = {});

/// What a shape leaves of a limit, >= 0 when it is kept; smooth in the pose.
using ShapeMargin = std::function<double(const RodShape&)>;

struct RefinedShapes {
  PoseGrid grid;         ///< of all joints; `shapes.grid` is its shaping part
  FreeRunShapes shapes;  ///< of the line at these
  bool settled = true;   ///< no doubt is left, no pose is without a shape
};

/// Shapes at the poses of a grid; `known`: those of some of these, or null.
using ShapesAt = std::function<FreeRunShapes(const PoseGrid& grid, const FreeRunShapes* known)>;

/// Begins with StudyOptions::free_run_poses with equal steps and halves the steps across which a
/// margin could run out, up to twice as many poses, down to 5 mm. Between two neighbours the
/// line is taken to sweep over the middle that a parabola through them and the next ones has, in
/// two chords, less what these are off and what the next ones do not agree on; a margin to be the
/// smaller one less twice what such a parabola is off the chord. What touches or is beyond its
/// limit at some pose is known, and not looked at. `wanted_mm` of the targets are the limits of
/// clearance, or 0 where that is not kept at some pose.
RefinedShapes refined_shapes(const Context& context, const FreeRun& run, const ShapesAt& shapes_at,
                             double diameter_mm, const std::vector<LineTarget>& targets,
                             const std::vector<ShapeMargin>& margins);
/// Of a line as a rod.
RefinedShapes refined_shapes(const Context& context, const FreeRun& run, const FreeRunRod& line,
                             double diameter_mm, const std::vector<LineTarget>& targets,
                             const std::vector<ShapeMargin>& margins);

}  // namespace bight::study
