#pragma once
// The point of a simplex nearest to the origin, by the regions of Ericson, Real-Time Collision
// Detection 2005, chapters 5.1 and 9.5.

#include <array>
#include <span>

#include "base/vec.h"

namespace bight::shape {

/// Weights (>= 0, sum 1) of the nearest point over the 1 to 4 corners. Corners of weight 0 are not
/// needed. Degenerate simplices are allowed. All weights of a tetrahedron are > 0 only when it
/// contains the origin.
std::array<double, 4> nearest_to_origin(std::span<const Vec3> corners);

}  // namespace bight::shape
