#pragma once
// Meshes of the shapes that a plan can name: box, cylinder, capsule, extruded profile. All are
// closed, share their vertices and point outward.
//
// Curved shapes are circumscribed: every facet touches the true surface from outside, so the mesh
// contains the true solid and a "clear" found with it holds for the true one. It stands out by at
// most k_facet_tolerance_mm up to k_facet_diameter_mm; beyond that the number of facets no longer
// grows and the excess grows with the diameter. Facets are tangent in the directions of the axes,
// so the bounding box is that of the true shape.

#include <optional>
#include <vector>

#include "base/diagnostic.h"
#include "base/vec.h"
#include "shape/mesh.h"

namespace bight::shape {

/// Direction of a length: +X, +Y or +Z.
enum class Axis { x, y, z };

/// mm. Largest diameter for which k_facet_tolerance_mm is kept (448 facets round).
inline constexpr double k_facet_diameter_mm = 4000.0;

/// Points. Longest outline of a profile: drawn outlines have tens; the check for crossings looks at
/// every pair.
inline constexpr std::size_t k_outline_points_limit = 2000;

/// Box from its lowest corner; each size > 0, mm.
Mesh make_box(const Vec3& lower, const Vec3& size);

/// Cylinder from the centre of its first end; length and diameter > 0, mm.
Mesh make_cylinder(const Vec3& base, Axis along, double length, double diameter);

/// Cylinder with hemispheres on both ends, from the centre of the first hemisphere; `length` is
/// between the centres (>= 0; 0 gives a sphere), diameter > 0, mm.
Mesh make_capsule(const Vec3& base, Axis along, double length, double diameter);

/// Profile extruded by `length` > 0 mm from `base`. The outline is a simple polygon in either
/// sense, convex or not, its last point joined to its first: (Y,Z) along X, (X,Z) along Y, (X,Y)
/// along Z, relative to `base`. Repeated points are dropped. An outline that is not simple (crosses
/// or touches itself, has no area, is not finite, exceeds k_outline_points_limit) is an error at
/// `place` and gives nothing.
std::optional<Mesh> make_profile(const std::vector<Vec2>& outline, const Vec3& base, Axis along,
                                 double length, const Place& place, Diagnostics& diagnostics);

/// Rotation by degrees about X, then Y, then Z (axes that stay fixed), counter-clockwise seen from
/// the positive end of the axis. Multiples of 90 degrees give exact zeros and ones.
Mat3 turn_matrix(const Vec3& degrees);

}  // namespace bight::shape
