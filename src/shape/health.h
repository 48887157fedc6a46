#pragma once
// Mesh health: whether a mesh bounds a solid, and if not, why, in counts.

#include <cstddef>

#include "base/box.h"
#include "shape/mesh.h"

namespace bight::shape {

/// What stands in the way of a mesh being a solid. Vertices at the same place count as one.
/// Triangles with two corners at one place have no say in edges and shells.
struct Health {
  std::size_t triangles = 0;
  std::size_t open_edges = 0;            ///< edges with one triangle: the surface has a rim
  std::size_t misoriented_edges = 0;     ///< two triangles that disagree about the outside
  std::size_t branched_edges = 0;        ///< three or more triangles that do not pair off
  std::size_t shared_edges = 0;          ///< four or more that do: bodies touch there, no harm
  std::size_t degenerate_triangles = 0;  ///< height over the longest side <= k_length_equal_mm
  std::size_t duplicate_triangles = 0;   ///< same three corners as an earlier one, in any order
  std::size_t shells = 0;                ///< pieces that share no vertex
  /// Pieces of negative volume whose box lies in the box of no outward piece (a cavity's does; the
  /// k_cavity_hosts largest are looked at). Counted in a closed mesh only.
  std::size_t inside_out_shells = 0;
  double volume_mm3 = 0.0;  ///< signed_volume; means nothing unless closed()
  Box box;

  bool empty() const { return triangles == 0; }
  /// Every edge is run as often one way as the other: the inside counts as solid (Solid::closed).
  bool closed() const {
    return shells > 0 && open_edges == 0 && misoriented_edges == 0 && branched_edges == 0;
  }
  /// Closed and outward, each triangle there once.
  bool sound() const { return closed() && duplicate_triangles == 0 && inside_out_shells == 0; }
};

/// Count. Bound on the work of telling cavities from inside-out pieces in a mesh of many pieces.
inline constexpr std::size_t k_cavity_hosts = 64;

/// Counts, in time linear in the size of the mesh. Triangle indices must be below the number of
/// vertices, coordinates finite.
Health check_health(const Mesh& mesh);

}  // namespace bight::shape
