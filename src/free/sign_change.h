#pragma once
// Where a value changes its sign between two places, to rounding: for balances of overhead supports
// and the edges of friction, whose forces may be infinite or jump.

#include <algorithm>
#include <cmath>
#include <limits>

namespace bight::free {

struct PlaceValue {
  double place = 0.0;
  double value = 0.0;
};

/// The last place found with value(x) <= 0 on the way from `inside` to `outside`, whose values are
/// <= 0 and > 0. Bisection, with inverse quadratic interpolation where that is safe (Chandrupatla,
/// Advances in Engineering Software 28, 1997): some ten values where the slope is steady, some
/// fifty where it is not. To rounding of the place, or of a hundredth of the way.
template <class Value>
double last_before_change(const Value& value, const PlaceValue& inside, const PlaceValue& outside) {
  constexpr int k_most = 200;
  constexpr double k_epsilon = std::numeric_limits<double>::epsilon();
  const double least = 0.01 * k_epsilon * std::abs(outside.place - inside.place);
  double a = outside.place;  // the newest place, the one opposite, the one before
  double b = inside.place;
  double c = b;
  double fa = outside.value;
  double fb = inside.value;
  double fc = fb;
  double share = 0.5;  // of the way from a to b
  for (int i = 0; i < k_most; ++i) {
    const double x = a + share * (b - a);
    if (x == a || x == b) break;
    const double fx = value(x);
    if (fx == 0.0) return x;
    if ((fx > 0.0) == (fa > 0.0)) {
      c = a;
      fc = fa;
    } else {
      c = b;
      fc = fb;
      b = a;
      fb = fa;
    }
    a = x;
    fa = fx;
    const double tolerance =
        2.0 * k_epsilon * std::abs(std::abs(fa) < std::abs(fb) ? a : b) + least;
    const double limit = tolerance / std::abs(b - a);
    if (!(limit < 0.5)) break;
    const double xi = (a - b) / (c - b);
    const double phi = (fa - fb) / (fc - fb);
    const bool safe = phi * phi < xi && (1.0 - phi) * (1.0 - phi) < 1.0 - xi;  // false for NaN
    share =
        safe ? fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
             : 0.5;
    share = std::clamp(share, limit, 1.0 - limit);
  }
  return fa > 0.0 ? b : a;
}

}  // namespace bight::free
