#pragma once
// Where a point lies with respect to a closed solid: inside or not, and how deep.

#include "base/vec.h"
#include "shape/solid.h"

namespace bight::shape {

/// True when the solid is closed and `point` (mm) lies inside it: winding number not zero, so
/// cavities (shells turned inside out) are outside, overlapping shells are inside, and a mesh that
/// is turned inside out as a whole still counts as solid. Points on the surface (to rounding) may
/// go either way; measure the distance to the surface where that matters.
///
/// The winding number is the signed count of crossings of a ray. A ray that passes an edge, a
/// corner or along a triangle (to rounding) is thrown away and another direction is tried; after a
/// few the solid angles of all triangles are summed instead (Van Oosterom and Strackee 1983), which
/// needs no general position.
bool is_inside(const Solid& solid, const Vec3& point);

/// Winding number by the sum of solid angles over 4 pi, O(triangles): 1 inside, 0 outside of a
/// closed mesh that points outward.
double winding_number(const Mesh& mesh, const Vec3& point);

/// Distance from `point` to the nearest triangle of the surface, mm; infinity for an empty solid.
/// Relative error 1e-12 of the coordinates' size. With `cap`, anything at or beyond it may be
/// returned as `cap`.
double distance_to_surface(const Solid& solid, const Vec3& point);
double distance_to_surface(const Solid& solid, const Vec3& point, double cap);

}  // namespace bight::shape
