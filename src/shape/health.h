#pragma once
// Mesh health: whether a mesh bounds a solid, and if not, why, in words for whoever exported it.

#include <cstddef>
#include <string>

#include "base/box.h"
#include "base/diagnostic.h"
#include "shape/mesh.h"

namespace bight::shape {

/// What stands in the way of a mesh being a solid. Counted on the mesh's own vertex indices: weld
/// first, or every edge of a triangle soup counts as open. Degenerate triangles are left out of the
/// edge counts when two of their corners are the same vertex.
struct Health {
  std::size_t triangles = 0;
  std::size_t open_edges = 0;            ///< edges with one triangle: the surface has a rim
  std::size_t non_manifold_edges = 0;    ///< edges with more than two triangles
  std::size_t misoriented_edges = 0;     ///< edges whose two triangles disagree about the outside
  std::size_t degenerate_triangles = 0;  ///< without area
  std::size_t duplicate_triangles = 0;   ///< same three vertices as an earlier one
  std::size_t shells = 0;                ///< pieces that share no vertex
  std::size_t inside_out_shells = 0;     ///< closed pieces of negative volume not inside another
  double volume_mm3 = 0.0;               ///< signed_volume; means nothing unless closed()
  Box box;

  bool empty() const { return triangles == 0; }
  /// Every edge joins exactly two triangles: the inside is defined.
  bool closed() const { return !empty() && open_edges == 0 && non_manifold_edges == 0; }
  /// Closed, and all triangles agree on the outside.
  bool sound() const {
    return closed() && misoriented_edges == 0 && duplicate_triangles == 0 && inside_out_shells == 0;
  }
};

/// Counts. Every triangle index must be below the number of vertices.
Health check_health(const Mesh& mesh);

/// The findings of `health` as warnings at `place` (an empty mesh is an error; several shells are a
/// note), most serious first. A sound mesh in one piece adds nothing.
void report_health(const Health& health, const Place& place, Diagnostics& diagnostics);

}  // namespace bight::shape
