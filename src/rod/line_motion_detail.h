#pragma once
// Shared by the parts of rod/line_motion.h.

#include <cstddef>
#include <span>

#include "rod/line_motion.h"

namespace bight::rod::motion_detail {

/// Bending energy of rod/energy.h at second differences d0 and d1: its difference over that of the
/// squares, times 2; the force is this x the mean of d0 and d1.
inline double mean_slope(double stiffness, double l, double square0, double square1) {
  const double whole = 4.0 * l * l;
  return 16.0 * stiffness * l / ((whole - square0) * (whole - square1));
}

inline Vec3 second_difference(std::span<const Vec3> x, std::size_t i) {
  return x[i - 1] - 2.0 * x[i] + x[i + 1];
}

}  // namespace bight::rod::motion_detail
