#include "rod/energy.h"

#include <limits>

namespace bight::rod {

BendTerm bend_term(double stiffness, double l, double square) {
  const double room = 4.0 * l * l - square;
  if (!(room > 0.0)) {
    constexpr double k_infinity = std::numeric_limits<double>::infinity();
    return {k_infinity, k_infinity, k_infinity};
  }
  const double inverse = 1.0 / room;
  const double factor = 2.0 * stiffness / l * inverse;
  const double slope = factor * inverse * (8.0 * l * l);
  return {factor * square, slope, 4.0 * slope * inverse};
}

}  // namespace bight::rod
