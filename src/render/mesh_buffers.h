#pragma once
// From a triangle mesh to what a graphics card draws: vertices with normals that are smooth over
// rounded faces and sharp over edges, and the edges themselves. No OpenGL.

#include <array>
#include <cstdint>
#include <vector>

#include "shape/mesh.h"

namespace bight::render {

struct MeshVertex {
  float position[3];       ///< mm from MeshBuffers::origin
  std::int16_t normal[4];  ///< unit, times 32767; the fourth is 0
};

/// An edge as two positions, mm from MeshBuffers::origin.
struct MeshEdge {
  float from[3];
  float to[3];
};

struct MeshBuffers {
  Vec3 origin{0.0};
  std::vector<MeshVertex> vertices;
  std::vector<std::array<std::uint32_t, 3>> triangles;
  /// Borders, and where faces meet at more than k_crease_deg; longest first.
  std::vector<MeshEdge> edges;
};

inline constexpr double k_crease_deg = 30.0;

/// Time and memory grow with the number of triangles, whatever the mesh.
MeshBuffers make_mesh_buffers(const shape::Mesh& mesh);

/// A likeness with far fewer triangles for pictures that move: vertices of one cell of a grid
/// become one (J. Rossignac, P. Borrel, Multi-resolution 3D approximations, 1993). `cells` along
/// the longest side. Keeps the edges that stay longer than a cell.
MeshBuffers make_stand_in(const shape::Mesh& mesh, int cells);

}  // namespace bight::render
