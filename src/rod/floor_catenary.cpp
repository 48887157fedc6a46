#include "rod/floor_catenary.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/tolerance.h"
#include "rod/catenary_length.h"
#include "rod/hyperbolic.h"
#include "rod/root.h"

namespace bight::rod {
namespace {

/// What a hanging piece needs in length beyond its horizontal reach, and the derivative by a:
/// s - x = a (sinh p - p) with cosh p = 1 + h / a.
ValueSlope surplus(double height, double a) {
  const double p = acosh_1p(height / a);
  return {a * sinh_minus(p), 2.0 * std::tanh(0.5 * p) - p};
}

}  // namespace

FloorCatenary solve_floor_catenary(const FloorCatenaryProblem& p) {
  FloorCatenary r;
  const bool valid = p.dx_mm >= 0.0 && std::isfinite(p.dx_mm) && p.start_height_mm >= 0.0 &&
                     std::isfinite(p.start_height_mm) && p.end_height_mm >= 0.0 &&
                     std::isfinite(p.end_height_mm) && p.length_mm > 0.0 &&
                     std::isfinite(p.length_mm) && p.mass_kg_m > 0.0 && std::isfinite(p.mass_kg_m);
  if (!valid) return r;
  if (p.length_mm < std::hypot(p.dx_mm, p.end_height_mm - p.start_height_mm)) {
    r.status = FloorCatenaryStatus::too_short;
    return r;
  }
  const double heights = p.start_height_mm + p.end_height_mm;
  const double longer = p.length_mm - p.dx_mm;  // what the two hanging pieces must use up
  if (p.length_mm <= length_for_lowest(p.dx_mm, p.start_height_mm, p.end_height_mm)) {
    r.status = FloorCatenaryStatus::clear;
    return r;
  }
  const double w = p.mass_kg_m * k_gravity / 1000.0;
  constexpr double k_degrees = 180.0 / std::numbers::pi;
  if (longer >= heights) {
    r.status = FloorCatenaryStatus::heaped;
    r.hanging_start_mm = p.start_height_mm;
    r.hanging_end_mm = p.end_height_mm;
    r.touch_end_x_mm = p.dx_mm;
    r.lying_mm = p.length_mm - heights;
    r.tension_start_N = w * p.start_height_mm;
    r.tension_end_N = w * p.end_height_mm;
    r.slope_start_deg = p.start_height_mm > 0.0 ? -90.0 : 0.0;
    r.slope_end_deg = p.end_height_mm > 0.0 ? 90.0 : 0.0;
    return r;
  }
  // In t = log a, where the sum of both pieces falls from `heights` to 0.
  const auto balance = [&](double t) {
    const double a = std::exp(t);
    const ValueSlope one = surplus(p.start_height_mm, a);
    const ValueSlope two = surplus(p.end_height_mm, a);
    return ValueSlope{one.value + two.value - longer, a * (one.slope + two.slope)};
  };
  double lower = std::log(heights);
  double upper = lower;
  while (balance(lower).value < 0.0) lower -= 1.0;
  while (balance(upper).value > 0.0) upper += 1.0;
  const double a = std::exp(bracketed_root(balance, lower, upper, false, 1.0));

  r.status = FloorCatenaryStatus::lies;
  r.parameter_mm = a;
  r.horizontal_force_N = w * a;
  r.hanging_start_mm = std::sqrt(p.start_height_mm * (p.start_height_mm + 2.0 * a));
  r.hanging_end_mm = std::sqrt(p.end_height_mm * (p.end_height_mm + 2.0 * a));
  r.touch_start_x_mm = a * acosh_1p(p.start_height_mm / a);
  r.touch_end_x_mm = p.dx_mm - a * acosh_1p(p.end_height_mm / a);
  r.lying_mm = r.touch_end_x_mm - r.touch_start_x_mm;
  r.tension_start_N = w * (a + p.start_height_mm);
  r.tension_end_N = w * (a + p.end_height_mm);
  r.slope_start_deg = -std::atan2(r.hanging_start_mm, a) * k_degrees;
  r.slope_end_deg = std::atan2(r.hanging_end_mm, a) * k_degrees;
  return r;
}

}  // namespace bight::rod
