#pragma once
// Lengths as people read them, in the unit of the plan.

#include <cmath>
#include <string>

#include "base/number.h"
#include "base/vec.h"

namespace bight {

inline constexpr double k_mm_per_inch = 25.4;  ///< exact by definition (international inch, 1959)

/// Unit in which lengths are shown to a person; inside the program every length is mm.
enum class LengthUnit { mm, inch };

/// A length with its unit: "12.3 mm" or "0.484 in".
inline std::string length_text(double mm, LengthUnit unit, int decimals_mm = 1) {
  if (unit == LengthUnit::inch) return fixed(mm / k_mm_per_inch, decimals_mm + 2) + " in";
  return fixed(mm, decimals_mm) + " mm";
}

/// The same for advice: what is asked for is rounded up in the digits that are shown, so that doing
/// as told is enough. A hair above a digit (rounding of the computation) counts as that digit.
inline std::string length_text_at_least(double mm, LengthUnit unit, int decimals_mm = 1) {
  const double shown = std::pow(10.0, -decimals_mm) * (unit == LengthUnit::inch ? 0.254 : 1.0);
  return length_text(std::ceil(mm / shown - 1e-6) * shown, unit, decimals_mm);
}

/// The same for what may be at most, or what is proved to be at least there: rounded down.
inline std::string length_text_at_most(double mm, LengthUnit unit, int decimals_mm = 1) {
  const double shown = std::pow(10.0, -decimals_mm) * (unit == LengthUnit::inch ? 0.254 : 1.0);
  return length_text(std::floor(mm / shown + 1e-6) * shown, unit, decimals_mm);
}

/// A point with its unit: "(12.0, 0.0, -3.5) mm".
inline std::string point_text(const Vec3& p, LengthUnit unit) {
  const double scale = unit == LengthUnit::inch ? 1.0 / k_mm_per_inch : 1.0;
  const int decimals = unit == LengthUnit::inch ? 3 : 1;
  return "(" + fixed(p.x * scale, decimals) + ", " + fixed(p.y * scale, decimals) + ", " +
         fixed(p.z * scale, decimals) + ")" + (unit == LengthUnit::inch ? " in" : " mm");
}

}  // namespace bight
