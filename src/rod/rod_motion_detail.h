#pragma once
// Shared by the parts of rod/rod_motion.h.

#include "base/vec.h"

namespace bight::rod::motion_detail {

constexpr double k_N_per_kg_mm_s2 = 1e-3;

/// Projection onto the level plane.
constexpr Mat3 k_level(1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0);

/// Bending energy of rod/energy.h at second differences d0 and d1: its difference over that of the
/// squares, times 2; the force is this x the mean of d0 and d1.
inline double mean_slope(double stiffness, double l, double square0, double square1) {
  const double whole = 4.0 * l * l;
  return 16.0 * stiffness * l / ((whole - square0) * (whole - square1));
}

}  // namespace bight::rod::motion_detail
