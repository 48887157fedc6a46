#pragma once
// A part ready for clearance queries: its mesh, the hierarchy over its triangles and whether it
// encloses space.

#include "shape/bvh.h"
#include "shape/mesh.h"

namespace bight::shape {

struct Solid {
  Mesh mesh;
  Bvh bvh;
  bool closed =
      false;  ///< every edge is shared by exactly two triangles: the inside counts as solid
};

/// Builds hierarchy and closedness. The mesh's coordinates must be finite.
Solid make_solid(Mesh mesh);

}  // namespace bight::shape
