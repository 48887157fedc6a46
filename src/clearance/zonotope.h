#pragma once
// The set Z of all relative translations of a travel: a zonotope, the sum of one segment an axis.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "base/vec.h"
#include "clearance/travel.h"

namespace bight::clearance {

/// Z = { center + sum of s_k generator_k : -1 <= s_k <= 1 }, mm. Parallel axes are one generator,
/// axes that do not move (zero direction or lower == upper) are none.
struct Zonotope {
  static constexpr std::int32_t k_none = -1;

  /// Share of one axis of the travel: q = middle + sign s_generator half.
  struct Share {
    double middle = 0.0;
    double half = 0.0;
    double sign = 1.0;
    std::int32_t generator = k_none;
  };

  Vec3 center{0.0};
  std::vector<Vec3> generators;
  std::vector<Share> shares;  ///< one an axis of the travel
  double rounding = 0.0;      ///< mm: bound of the rounding error of any point of Z

  /// Sets from a travel; keeps the vectors' memory.
  void assign(std::span<const Axis> travel);
};

/// Joint values of a point of Z given by its coefficients s; within [lower, upper] of each axis.
void pose_at(const Zonotope& z, std::span<const Axis> travel, std::span<const double> s,
             Pose& pose);

}  // namespace bight::clearance
