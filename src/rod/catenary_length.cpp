#include "rod/catenary_length.h"

#include <algorithm>
#include <cmath>

#include "base/tolerance.h"
#include "rod/hyperbolic.h"
#include "rod/root.h"

namespace bight::rod {

// In u (which grows with the length) the tension at the higher end is w/2 (sqrt(G) + |dz|) with
// G = dz^2 coth^2 u + dx^2 cosh^2 u / u^2. Both terms are log-convex, so G is convex: one minimum,
// and at most one root on either side.
PullWindow lengths_for_pull(double dx_mm, double dz_mm, double mass_kg_m, double max_pull_N) {
  PullWindow result;
  const double w = mass_kg_m * k_gravity / 1000.0;
  const double h = std::abs(dz_mm);
  const double target = 2.0 * max_pull_N / w - h;  // wanted sqrt(G)
  const auto length_at = [&](double u) { return std::hypot(h, dx_mm * std::sinh(u) / u); };
  // Ends this nearly above each other: two vertical strands, to the same relative accuracy.
  if (dx_mm <= 1e-12 * std::max(target, h)) {
    result.least_pull_N = w * h;
    result.possible = target >= h && dx_mm >= 0.0;
    if (result.possible) {
      result.shortest_mm = h;
      result.longest_mm = target;
    }
    return result;
  }
  // The minimum solves dx^2 sinh^3(u) (u sinh u - cosh u) = dz^2 u^3; the left side rises from 0 at
  // k_level, the solution for ends of one height.
  constexpr double k_level = 1.199678640257733833;
  double best = k_level;
  if (h > 0.0) {
    const double ratio = 2.0 * std::log(h / dx_mm);
    const auto slope_sign = [&](double u) {
      const double sh = std::sinh(u);
      const double ch = std::cosh(u);
      const double rest = u * sh - ch;
      return ValueSlope{3.0 * std::log(sh / u) + std::log(rest) - ratio,
                        3.0 * (ch / sh - 1.0 / u) + u * ch / rest};
    };
    double upper = 2.0;
    while (slope_sign(upper).value < 0.0) upper *= 1.5;
    best = bracketed_root(slope_sign, k_level, upper, true);
  }
  const auto square = [&](double u) {
    const double rise = h / std::tanh(u);
    const double run = dx_mm * std::cosh(u) / u;
    return rise * rise + run * run;
  };
  result.least_pull_N = 0.5 * w * (std::sqrt(square(best)) + h);
  result.possible = result.least_pull_N <= max_pull_N;
  if (!result.possible) return result;
  const auto above = [&](double u) {
    const double sh = std::sinh(u);
    const double ch = std::cosh(u);
    const double rise = h * ch / sh;
    const double run = dx_mm * ch / u;
    const double value = rise * rise + run * run;
    const double slope = 2.0 * (run * run * (sh / ch - 1.0 / u) - rise * rise / (sh * ch));
    return ValueSlope{std::log(value) - 2.0 * std::log(target), slope / value};
  };
  // coth u >= 1/u and cosh u >= 1, hence G >= (dx^2 + dz^2) / u^2.
  const double left = std::min(std::hypot(dx_mm, h) / target, best);
  double right = std::max(2.0 * best, 1.0);
  while (above(right).value < 0.0) right *= 1.5;
  result.shortest_mm = length_at(bracketed_root(above, left, best, false));
  result.longest_mm = length_at(bracketed_root(above, best, right, true));
  return result;
}

// From a point h above the lowest, with the radius a there, the line spans a acosh(1 + h/a). Solved
// for a in logarithms, where both sides are nearly linear.
double length_for_lowest(double dx_mm, double start_mm, double end_mm) {
  const double roots = std::sqrt(start_mm) + std::sqrt(end_mm);
  if (!(roots > 0.0)) return dx_mm;
  if (!(dx_mm > 0.0)) return start_mm + end_mm;
  const auto span = [&](double t) {
    const double a = std::exp(t);
    const double pa = acosh_1p(start_mm / a);
    const double pb = acosh_1p(end_mm / a);
    const double x = a * (pa + pb);
    const double slope = pa + pb - std::tanh(0.5 * pa) - std::tanh(0.5 * pb);
    return ValueSlope{std::log(x / dx_mm), slope * a / x};
  };
  // sqrt(2y) >= acosh(1 + y) >= 0.9 sqrt(2y) for y <= 1, and >= 1.3 beyond.
  const double least = dx_mm * dx_mm / (2.0 * roots * roots);
  const double most = std::max(dx_mm / 1.3, least / 0.81);
  const double a =
      std::exp(bracketed_root(span, std::log(least) - 1e-9, std::log(most) + 1e-9, true, 1.0));
  return std::sqrt(start_mm * (start_mm + 2.0 * a)) + std::sqrt(end_mm * (end_mm + 2.0 * a));
}

}  // namespace bight::rod
