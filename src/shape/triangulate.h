#pragma once
// Triangulation of a simple polygon by ear clipping (G. H. Meisters, "Polygons have ears", American
// Mathematical Monthly 82, 1975), for outlines of up to some thousand points.

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/vec.h"

namespace bight::shape {

/// Twice the signed area of the closed polygon; positive when it runs counter-clockwise.
double twice_area(const std::vector<Vec2>& outline);

/// The outline without points that lie within k_length_equal_mm of their predecessor (cyclically).
std::vector<Vec2> without_repeats(const std::vector<Vec2>& outline);

/// Why the outline is not a simple polygon, as a clause that names the points counted from 1, or an
/// empty text. Simple means: at least three points, finite, and no two edges nearer than
/// k_length_equal_mm (or 1e-12 of the extent) except where they join. Looks at every pair of edges.
std::string outline_problem(const std::vector<Vec2>& outline);

/// Cuts a simple polygon that runs counter-clockwise into n - 2 triangles that do the same; indices
/// into the outline. Takes the ear with the shortest diagonal first, time O(n^2). Nothing when no
/// ear is left, which a polygon that passed outline_problem does not lead to.
std::optional<std::vector<std::array<std::uint32_t, 3>>> triangulated(
    const std::vector<Vec2>& outline);

}  // namespace bight::shape
