#pragma once
// Triangle meshes: the one shape that every computation takes. Primitives and imported files become
// meshes.

#include <array>
#include <cstdint>
#include <vector>

#include "base/box.h"
#include "base/vec.h"

namespace bight::shape {

/// Triangles by index into vertices, mm, in the frame of the plan with all joints at zero. For a
/// closed solid the corners run counter-clockwise seen from outside. Triangles may be degenerate
/// (they then count as segments or points); coordinates are finite: whoever fills a mesh refuses
/// others.
struct Mesh {
  std::vector<Vec3> vertices;
  std::vector<std::array<std::uint32_t, 3>> triangles;

  bool empty() const { return triangles.empty(); }
};

/// Smallest box around all vertices; empty for a mesh without vertices.
Box bounds(const Mesh& mesh);

/// The mesh moved by `t` (mm).
Mesh translated(Mesh mesh, const Vec3& t);

/// The mesh turned about the origin by `turn` and then moved by `t` (mm).
Mesh placed(Mesh mesh, const Mat3& turn, const Vec3& t);

/// Both meshes in one.
Mesh merged(Mesh a, const Mesh& b);

/// Signed volume by the divergence theorem, mm^3; positive for a closed mesh that points outward.
double signed_volume(const Mesh& mesh);

}  // namespace bight::shape
