#pragma once
// Where a line touches a floor, to a joint's spacing: what solve_rod_on_floor refines.

#include <vector>

#include "rod/rod_on_floor.h"
#include "rod/rod_status.h"

namespace bight::rod {

/// A stretch of joints that the floor pushes.
struct TouchStart {
  double from_mm = 0.0;  ///< arc length
  double to_mm = 0.0;
  double from_x_mm = 0.0;
  bool point = false;   ///< few joints: it may touch in a point only
  bool to_end = false;  ///< up to the end of the line
};

/// Link angles are continuous from the start clamp's (rad). No touches: clear of the floor.
struct FloorTouchStart {
  RodReport report;
  std::vector<double> angles_rad;
  std::vector<TouchStart> touches;
};

FloorTouchStart floor_touch_start(const RodOnFloorProblem& problem, ShapeChoice shape);

}  // namespace bight::rod
