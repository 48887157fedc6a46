#pragma once
// Root of a function of one variable between two points where its sign differs: Newton's steps,
// kept inside the shrinking bracket by bisection.

#include <algorithm>
#include <cmath>
#include <limits>

namespace bight::rod {

/// Value and derivative at a point.
struct ValueSlope {
  double value = 0.0;
  double slope = 0.0;
};

/// A root of `f` (double -> ValueSlope) in [lower, upper], to rounding. The caller knows that f has
/// opposite signs at the two ends (or is zero at one); `rising` says that f(upper) >= 0. `scale`:
/// the root is wanted to rounding of this size (1 for logarithms), 0 for its own size.
template <class F>
double bracketed_root(const F& f, double lower, double upper, bool rising, double scale = 0.0) {
  constexpr int k_steps = 200;  // bisection alone needs at most about 110 for doubles of one scale
  constexpr double k_relative = 2.0 * std::numeric_limits<double>::epsilon();
  double x = 0.5 * (lower + upper);
  for (int i = 0; i < k_steps; ++i) {
    const ValueSlope at = f(x);
    if (at.value == 0.0) return x;
    ((at.value > 0.0) == rising ? upper : lower) = x;
    const double newton = x - at.value / at.slope;
    const bool inside = newton > lower && newton < upper;  // false for NaN
    const double next = inside ? newton : 0.5 * (lower + upper);
    if (std::abs(next - x) <= k_relative * std::max(std::abs(x), scale)) return next;
    x = next;
  }
  return x;
}

}  // namespace bight::rod
