#pragma once
// Where a point that moves along a line is within a distance of a box.

#include <array>
#include <optional>

#include "base/box.h"
#include "base/vec.h"

namespace bight::machine {

/// The values s for which the point p + s g lies within `radius` of the box, as [first, last];
/// nothing when there are none. `g` is not zero, `radius` >= 0. The squared distance is convex and
/// a quadratic in s between the planes of the box, so the ends are roots in closed form. A line
/// that only grazes counts when it comes within k_length_equal_mm of the radius.
std::optional<std::array<double, 2>> line_in_box(const Vec3& p, const Vec3& g, const Box& box,
                                                 double radius);

}  // namespace bight::machine
