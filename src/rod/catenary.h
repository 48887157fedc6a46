#pragma once
// The catenary: shape and forces of a limp line (no bending stiffness, no stretch) that hangs by
// its own weight between two points. For everyone who needs a hanging line fast: one solve is well
// under a microsecond, so no table of shapes is kept anywhere.
//
// Plane of the line: x runs horizontally from start to end, z is up, the start is the origin.
// Lengths mm, mass kg/m, forces N. With a = H / w and u = dx / (2 a):
//   sinh(u) / u = sqrt(L^2 - dz^2) / dx,   z = a cosh((x - x0) / a) + const
// (Irvine, Cable Structures, 1981, ch. 1; J. Bernoulli, Leibniz, Huygens 1691).

#include <span>
#include <vector>

#include "base/vec.h"

namespace bight::rod {

struct CatenaryProblem {
  double dx_mm = 0.0;      ///< horizontal distance of the ends, >= 0
  double dz_mm = 0.0;      ///< height of the end above the start
  double length_mm = 0.0;  ///< > 0
  double mass_kg_m = 0.0;  ///< > 0
};

/// Which shapes may be used: `hangs` and `vertical` have all fields; `straight` has shape and
/// slopes but unbounded forces; the other two have nothing but what is said there.
enum class CatenaryStatus {
  hangs,
  vertical,   ///< dx = 0: two strands side by side (or one, when it is just long enough), H = 0
  straight,   ///< length equals the distance of the ends to rounding: taut, forces unbounded
  too_short,  ///< does not reach: see `short_by_mm`
  invalid     ///< a value is not finite or out of range
};

/// Tangent angles are from +x, counter-clockwise, in the direction start -> end. Points are [x, z].
struct Catenary {
  CatenaryStatus status = CatenaryStatus::invalid;
  double short_by_mm = 0.0;         ///< distance of the ends minus length (too_short only)
  double parameter_mm = 0.0;        ///< a = H / w; infinity when straight, 0 when vertical
  double horizontal_force_N = 0.0;  ///< H, the same everywhere
  double vertical_start_N = 0.0;    ///< V: the force that the line beyond s exerts on what lies
  double vertical_end_N = 0.0;      ///< before s is (H, V); V grows by the weight from start to end
  double tension_start_N = 0.0;
  double tension_end_N = 0.0;
  double slope_start_deg = 0.0;
  double slope_end_deg = 0.0;
  double sag_mm = 0.0;  ///< greatest vertical drop below the chord; 0 when dx = 0
  double sag_at_x_mm = 0.0;
  Vec2 lowest{0.0};                 ///< lowest point of the line itself, may be an end
  double lowest_at_mm = 0.0;        ///< its arc length from the start
  double smallest_radius_mm = 0.0;  ///< at the lowest point, where the line bends most

  bool has_shape() const {
    return status == CatenaryStatus::hangs || status == CatenaryStatus::vertical ||
           status == CatenaryStatus::straight;
  }
};

/// Solves to a relative accuracy of 1e-12, also for lines that are nearly taut (the excess over the
/// chord is computed without cancellation) and for ends nearly above each other.
Catenary solve_catenary(const CatenaryProblem& problem);

/// Point [x, z] at arc length s (clamped to the line) from the start, mm. Needs has_shape().
Vec2 catenary_point(const CatenaryProblem& problem, const Catenary& line, double s_mm);

/// Points at given arc lengths; needs has_shape().
std::vector<Vec2> catenary_points(const CatenaryProblem& problem, const Catenary& line,
                                  std::span<const double> s_mm);

}  // namespace bight::rod
