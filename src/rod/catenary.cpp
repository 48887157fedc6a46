#include "rod/catenary.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "base/check.h"
#include "base/tolerance.h"
#include "rod/hyperbolic.h"

namespace bight::rod {
namespace {

constexpr double k_infinity = std::numeric_limits<double>::infinity();
constexpr double k_degrees = 180.0 / std::numbers::pi;

double weight_per_mm(double mass_kg_m) {
  return mass_kg_m * k_gravity / 1000.0;
}

/// L^2 - dz^2 - dx^2 to rounding of the result, not of the squares: a nearly taut line hangs by it.
double excess_of_squares(double length, double dx, double dz) {
  const double l2 = length * length;
  const double x2 = dx * dx;
  const double z2 = dz * dz;
  const double low = std::fma(length, length, -l2) - std::fma(dx, dx, -x2) - std::fma(dz, dz, -z2);
  // (l2 - z2) - x2 with the error of each subtraction recovered (Knuth's two-sum).
  const double d1 = l2 - z2;
  const double b1 = d1 - l2;
  const double e1 = (l2 - (d1 - b1)) - (z2 + b1);
  const double d2 = d1 - x2;
  const double b2 = d2 - d1;
  const double e2 = (d1 - (d2 - b2)) - (x2 + b2);
  return d2 + (e1 + e2 + low);
}

Catenary straight_line(const CatenaryProblem& p) {
  Catenary c;
  c.status = CatenaryStatus::straight;
  c.parameter_mm = k_infinity;
  c.horizontal_force_N = p.dx_mm > 0.0 ? k_infinity : 0.0;
  c.vertical_start_N = c.vertical_end_N = p.dz_mm == 0.0 ? 0.0 : std::copysign(k_infinity, p.dz_mm);
  c.tension_start_N = c.tension_end_N = k_infinity;
  c.slope_start_deg = c.slope_end_deg = std::atan2(p.dz_mm, p.dx_mm) * k_degrees;
  if (p.dz_mm < 0.0) {
    c.lowest = {p.dx_mm, p.dz_mm};
    c.lowest_at_mm = p.length_mm;
  }
  c.smallest_radius_mm = k_infinity;
  return c;
}

Catenary two_strands(const CatenaryProblem& p) {
  const double w = weight_per_mm(p.mass_kg_m);
  Catenary c;
  c.status = CatenaryStatus::vertical;
  c.tension_start_N = 0.5 * w * (p.length_mm - p.dz_mm);
  c.tension_end_N = 0.5 * w * (p.length_mm + p.dz_mm);
  c.vertical_start_N = -c.tension_start_N;
  c.vertical_end_N = c.tension_end_N;
  c.slope_start_deg = -90.0;
  c.slope_end_deg = 90.0;
  c.lowest_at_mm = 0.5 * (p.length_mm - p.dz_mm);
  c.lowest = {0.0, -c.lowest_at_mm};
  return c;
}

/// Greatest vertical drop below the chord, where the slope is the chord's. With p the parameter
/// (x - x0) / a there and d its distance from the start's, the drop is
/// a (sinh p (d - sinh d) + cosh p (cosh d - 1)).
void set_sag(const CatenaryProblem& p, double u, double excess, Catenary& c) {
  const double a = c.parameter_mm;
  const double chord = std::hypot(p.dx_mm, p.dz_mm);
  const double longer = excess / (p.length_mm + chord);
  // asinh(dz / dx) - atanh(dz / L), both near each other when the line is taut.
  const double shift = std::atanh(p.dz_mm * longer / (p.dx_mm * p.dx_mm + chord * longer));
  const double d = shift + u;
  const double t = p.dz_mm / p.dx_mm;
  if (std::abs(d) < 1.0) {
    const double half = std::sinh(0.5 * d);
    c.sag_mm = a * (2.0 * half * half * chord / p.dx_mm - t * sinh_minus(d));
  } else {
    const double start = std::hypot(a, c.lowest_at_mm);
    c.sag_mm = t * (a * d) - (a * chord / p.dx_mm - start);
  }
  c.sag_at_x_mm = a * d;
}

}  // namespace

Catenary solve_catenary(const CatenaryProblem& p) {
  Catenary c;
  const bool valid = p.dx_mm >= 0.0 && std::isfinite(p.dx_mm) && std::isfinite(p.dz_mm) &&
                     p.length_mm > 0.0 && std::isfinite(p.length_mm) && p.mass_kg_m > 0.0 &&
                     std::isfinite(p.mass_kg_m);
  if (!valid) return c;

  const double excess = excess_of_squares(p.length_mm, p.dx_mm, p.dz_mm);
  // Twice the rounding error of a length computed as the distance of the ends.
  const double rounding = 4.0 * std::numeric_limits<double>::epsilon() * p.length_mm * p.length_mm;
  if (excess < -rounding) {
    c.status = CatenaryStatus::too_short;
    const double chord = std::hypot(p.dx_mm, p.dz_mm);
    c.short_by_mm = -excess / (p.length_mm + chord);
    return c;
  }
  if (excess <= rounding) return straight_line(p);
  // So near that dx / L would leave the range of doubles.
  if (p.dx_mm <= 1e-290 * p.length_mm) return two_strands(p);

  const double s = std::sqrt((p.length_mm - p.dz_mm) * (p.length_mm + p.dz_mm));
  const double u = inverse_sinhc(excess / (p.dx_mm * (s + p.dx_mm)), s / p.dx_mm);
  const double w = weight_per_mm(p.mass_kg_m);
  const double a = p.dx_mm / (2.0 * u);
  const double coth = 1.0 / std::tanh(u);

  c.status = CatenaryStatus::hangs;
  c.parameter_mm = a;
  c.horizontal_force_N = w * a;
  // Signed arc length from the lowest point of the whole curve to each end.
  const double from_lowest = 0.5 * (p.dz_mm * coth - p.length_mm);
  const double to_end = 0.5 * (p.dz_mm * coth + p.length_mm);
  c.vertical_start_N = w * from_lowest;
  c.vertical_end_N = w * to_end;
  c.tension_start_N = 0.5 * w * (p.length_mm * coth - p.dz_mm);
  c.tension_end_N = 0.5 * w * (p.length_mm * coth + p.dz_mm);
  c.slope_start_deg = std::atan2(from_lowest, a) * k_degrees;
  c.slope_end_deg = std::atan2(to_end, a) * k_degrees;
  c.lowest_at_mm = from_lowest;  // what set_sag needs; put right below
  set_sag(p, u, excess, c);

  if (from_lowest >= 0.0) {
    c.lowest_at_mm = 0.0;
    c.smallest_radius_mm = a + from_lowest * (from_lowest / a);
  } else if (to_end <= 0.0) {
    c.lowest_at_mm = p.length_mm;
    c.lowest = {p.dx_mm, p.dz_mm};
    c.smallest_radius_mm = a + to_end * (to_end / a);
  } else {
    c.lowest_at_mm = -from_lowest;
    c.lowest = {0.5 * p.dx_mm - a * std::atanh(p.dz_mm / p.length_mm),
                -from_lowest * from_lowest / (a + std::hypot(a, from_lowest))};
    c.smallest_radius_mm = a;
  }
  return c;
}

Vec2 catenary_point(const CatenaryProblem& p, const Catenary& line, double s_mm) {
  BIGHT_CHECK(line.has_shape());
  const double s = std::clamp(s_mm, 0.0, p.length_mm);
  if (line.status == CatenaryStatus::straight) {
    return (s / p.length_mm) * Vec2(p.dx_mm, p.dz_mm);
  }
  if (line.status == CatenaryStatus::vertical) {
    return {0.0, std::abs(s - line.lowest_at_mm) - line.lowest_at_mm};
  }
  const double a = line.parameter_mm;
  const double first = line.vertical_start_N / weight_per_mm(p.mass_kg_m);
  const double here = first + s;
  const double root_first = std::hypot(a, first);
  const double root_here = std::hypot(a, here);
  const double z = s * (here + first) / (root_here + root_first);
  // asinh(here / a) - asinh(first / a), without cancellation when both have one sign.
  const bool one_sign = (here > 0.0) == (first > 0.0);
  const double angle =
      one_sign ? std::asinh(s * (here + first) / (here * root_first + first * root_here))
               : std::asinh(here / a) - std::asinh(first / a);
  return {a * angle, z};
}

std::vector<Vec2> catenary_points(const CatenaryProblem& p, const Catenary& line,
                                  std::span<const double> s_mm) {
  std::vector<Vec2> points;
  points.reserve(s_mm.size());
  for (const double s : s_mm) points.push_back(catenary_point(p, line, s));
  return points;
}

}  // namespace bight::rod
