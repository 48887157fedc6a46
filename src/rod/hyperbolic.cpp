#include "rod/hyperbolic.h"

#include <cmath>
#include <limits>

namespace bight::rod {
namespace {

/// (sinh(sqrt v) / sqrt v - 1) / v = 1/3! + v/5! + v^2/7! + ..., for 0 <= v <= 1 to rounding.
double series(double v) {
  constexpr double k_terms[] = {
      1.0 / 6.0,        1.0 / 120.0,        1.0 / 5040.0,          1.0 / 362880.0,
      1.0 / 39916800.0, 1.0 / 6227020800.0, 1.0 / 1307674368000.0, 1.0 / 355687428096000.0};
  double sum = 0.0;
  for (int i = 7; i >= 0; --i) sum = sum * v + k_terms[i];
  return sum;
}

}  // namespace

double sinh_minus(double x) {
  if (std::abs(x) < 1.0) return x * x * x * series(x * x);
  return std::sinh(x) - x;
}

double acosh_1p(double y) {
  return std::log1p(y + std::sqrt(y * (y + 2.0)));
}

double inverse_sinhc(double ratio_minus_one, double ratio) {
  constexpr double k_sinhc_of_one = 1.1752011936438014;  // sinh(1)
  constexpr int k_steps = 50;                            // 4 to 6 are used
  if (ratio < k_sinhc_of_one) {
    // v = u^2 from v series(v) = ratio - 1, which is nearly linear in v.
    const double d = ratio_minus_one;
    double v = 6.0 * d * (1.0 - 0.3 * d);
    for (int i = 0; i < k_steps; ++i) {
      // d/dv (sinh u / u); a slope this good converges as fast as Newton's.
      const double slope = 1.0 / 6.0 + v * (1.0 / 60.0 + v * (1.0 / 1680.0 + v / 90720.0));
      const double step = (v * series(v) - d) / slope;
      v -= step;
      if (std::abs(step) <= std::numeric_limits<double>::epsilon() * v) break;
    }
    return std::sqrt(v);
  }
  // log(sinh u / u) = log(ratio), nearly linear for large u.
  const double target = std::log(ratio);
  double u = target + std::log(2.0 * target + 2.0);
  for (int i = 0; i < k_steps; ++i) {
    const double value = u - std::log(2.0 * u) + std::log1p(-std::exp(-2.0 * u)) - target;
    const double step = value / (1.0 / std::tanh(u) - 1.0 / u);
    u -= step;
    if (std::abs(step) <= 2.0 * std::numeric_limits<double>::epsilon() * u) break;
  }
  return u;
}

}  // namespace bight::rod
