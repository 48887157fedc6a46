#pragma once
// One answer for one line with bending stiffness over a flat floor without friction: where it
// touches down, how much of it lies, and what the floor bears. For callers that want figures; those
// with many poses, or with other bodies than a floor, use a SpatialRodSolver.
//
// A SpatialRodSolver finds which stretches touch, to a joint's spacing. Then the free pieces
// between them are solved as planar rods whose ends move until the conditions of contact hold:
// where a line begins or ceases to lie, it has the floor's direction and no moment (the floor
// pushes there with one concentrated force, the shear of the free piece); where it touches in a
// point, the moments of both sides are equal; the horizontal force is the same everywhere, 0 with a
// free tail.

#include <vector>

#include "rod/planar_rod.h"
#include "rod/rod.h"

namespace bight::rod {

struct RodOnFloorProblem {
  /// No natural curvature, no point masses, no slide. The end is held at or above the floor, or
  /// free: its `angle_deg` is then the direction in which the tail lies (0, 180, -180, ...: a
  /// multiple of 180), which says how far the line turns on its way down.
  PlanarRodProblem rod;
  double floor_mm = 0.0;  ///< height of the floor over the start, < 0
};

/// A stretch that touches the floor; a point when `from_mm` = `to_mm`. Forces are those by which
/// the floor pushes up at the two ends of the stretch, in between it bears the weight.
struct FloorTouch {
  double from_mm = 0.0;  ///< arc length
  double to_mm = 0.0;
  double from_x_mm = 0.0;
  double to_x_mm = 0.0;
  double push_from_N = 0.0;  ///< all of it where the line touches in a point
  double push_to_N = 0.0;    ///< 0 where the line lies up to its end
};

/// `figures`, `points`, `touches` mean something only when converged() is true. Extrapolated as
/// those of RodResult are. No touches: the line hangs clear of the floor.
struct RodOnFloorResult {
  RodReport report;
  bool refined = false;
  int segments = 0;            ///< of each free piece, the finer of the last two
  double radius_change = 0.0;  ///< relative
  PlanarRodFigures figures;    ///< the lowest point is the floor's height where it touches
  Vec2 tip{0.0};               ///< the line's end
  std::vector<Vec2> points;    ///< the free pieces' joints; straight in between
  std::vector<FloorTouch> touches;
  double floor_force_N = 0.0;  ///< all that the floor bears
  bool converged() const { return report.converged() && refined; }
};

RodOnFloorResult solve_rod_on_floor(const RodOnFloorProblem& problem,
                                    const RefineOptions& options = {});

}  // namespace bight::rod
