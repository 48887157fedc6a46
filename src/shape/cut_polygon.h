#pragma once
// Cuts a polygon in space, a face of a mesh file, into triangles. (Assimp's own step for it cuts a
// plain L of six corners into triangles that overlap.)

#include <array>
#include <cstdint>
#include <vector>

#include "base/vec.h"

namespace bight::shape {

/// n - 2 triangles of indices into the n >= 3 corners, running the same way round. The polygon may
/// be concave, have corners in line and be a little out of plane: it is judged in its projection
/// along the axis nearest to its normal. Quadrilaterals take the diagonal whose worse triangle is
/// turned the right way most; others are cut by ears. `simple` is false when the polygon crosses
/// itself so that no ear is left; it is then cut as a fan from its first corner.
struct PolygonCut {
  std::vector<std::array<std::uint32_t, 3>> triangles;
  bool simple = true;
};

PolygonCut cut_polygon(const std::vector<Vec3>& corners);

}  // namespace bight::shape
