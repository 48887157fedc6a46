#pragma once
// A part ready for clearance queries: its mesh, the hierarchy over its triangles and whether it
// encloses space.

#include <cstdint>
#include <vector>

#include "shape/bvh.h"
#include "shape/mesh.h"

namespace bight::shape {

struct Solid {
  Mesh mesh;
  Bvh bvh;
  bool closed =
      false;  ///< every edge is used as often in one direction as in the other (by two triangles,
              ///< or four where two bodies share it): the inside counts as solid
  /// One vertex of each connected piece of the surface. Where two surfaces nowhere touch, these
  /// decide whether a piece of one lies inside the other.
  std::vector<std::uint32_t> piece_vertices;
};

/// Builds hierarchy, closedness and pieces. Vertices at the same place count as one, whatever their
/// index. Degenerate triangles (two corners at one place) have no say in closedness. The mesh's
/// coordinates must be finite.
Solid make_solid(Mesh mesh);

}  // namespace bight::shape
