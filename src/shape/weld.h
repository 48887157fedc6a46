#pragma once
// Welding: points with the same coordinates become one vertex, so that a soup of triangles (STL
// stores every corner anew) gets edges that two triangles share.

#include <cstdint>
#include <vector>

#include "base/vec.h"
#include "shape/mesh.h"

namespace bight::shape {

/// Hands out one index for each distinct point, in the order of first appearance. Points are the
/// same when their coordinates are equal as numbers (-0 equals 0); nothing is moved, so welding
/// never changes a shape. Open hash of indices: constant time a point, 4 to 12 bytes a vertex
/// beside the vertices.
class Welder {
 public:
  /// Room for `expected_vertices` distinct points without growing.
  explicit Welder(std::size_t expected_vertices = 0);

  /// Index of the vertex equal to `point`, which must be finite.
  std::uint32_t index_of(const Vec3& point);

  std::size_t size() const { return vertices_.size(); }
  std::vector<Vec3> take_vertices() { return std::move(vertices_); }

 private:
  void grow(std::size_t slots);

  std::vector<Vec3> vertices_;
  std::vector<std::uint32_t> slots_;  ///< index + 1, 0: free; a power of two
};

/// The mesh with equal vertices made one and vertices without a triangle left out; triangles keep
/// their order and sense.
Mesh welded(const Mesh& mesh);

}  // namespace bight::shape
