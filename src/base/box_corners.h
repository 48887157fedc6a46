#pragma once
// The eight corners of a box, for outlines and projections.

#include <array>

#include "base/box.h"

namespace bight {

/// The upper ones of X, Y and Z have the bits 1, 2 and 4 in their index.
inline std::array<Vec3, 8> corners(const Box& box) {
  std::array<Vec3, 8> all{};
  for (unsigned i = 0; i < 8; ++i) {
    all[i] = {(i & 1U) != 0 ? box.upper.x : box.lower.x, (i & 2U) != 0 ? box.upper.y : box.lower.y,
              (i & 4U) != 0 ? box.upper.z : box.lower.z};
  }
  return all;
}

}  // namespace bight
