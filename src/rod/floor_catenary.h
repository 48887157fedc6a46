#pragma once
// Catenary that partly lies on a flat floor (no friction, no bending stiffness). Each hanging piece
// meets the floor tangentially: from a height h it hangs over s = sqrt(h^2 + 2 a h) and reaches
// x = a asinh(s / a) (Irvine, Cable Structures, 1981, ch. 2).

namespace bight::rod {

struct FloorCatenaryProblem {
  double dx_mm = 0.0;            ///< horizontal distance of the ends, >= 0
  double start_height_mm = 0.0;  ///< of the start above the floor, >= 0
  double end_height_mm = 0.0;    ///< of the end above the floor, >= 0 (0: held on the floor)
  double length_mm = 0.0;
  double mass_kg_m = 0.0;
};

enum class FloorCatenaryStatus {
  lies,    ///< some of it lies on the floor, stretched out
  clear,   ///< hangs clear of the floor (or touches it in a point): use solve_catenary
  heaped,  ///< so long that it piles up: both strands hang straight down, H = 0
  too_short,
  invalid
};

struct FloorCatenary {
  FloorCatenaryStatus status = FloorCatenaryStatus::invalid;
  double parameter_mm = 0.0;  ///< a = H / w, also the smallest radius (at the touchdown points)
  double horizontal_force_N = 0.0;
  double hanging_start_mm = 0.0;  ///< arc length from the start to its touchdown
  double hanging_end_mm = 0.0;
  double touch_start_x_mm = 0.0;  ///< touchdown points, x from the start
  double touch_end_x_mm = 0.0;
  double lying_mm = 0.0;
  double tension_start_N = 0.0;
  double tension_end_N = 0.0;
  double slope_start_deg = 0.0;
  double slope_end_deg = 0.0;
};

FloorCatenary solve_floor_catenary(const FloorCatenaryProblem& problem);

}  // namespace bight::rod
