#include "shape/solid.h"

#include <numeric>
#include <utility>

#include "shape/edge_tally.h"
#include "shape/weld.h"

namespace bight::shape {

namespace {

/// Index of the first vertex at the same place, for every vertex.
std::vector<std::uint32_t> same_place(const Mesh& mesh) {
  Welder welder(mesh.vertices.size());
  std::vector<std::uint32_t> place(mesh.vertices.size());
  for (std::size_t i = 0; i < place.size(); ++i) place[i] = welder.index_of(mesh.vertices[i]);
  return place;
}

std::vector<Corners> welded_triangles(const Mesh& mesh) {
  const std::vector<std::uint32_t> place = same_place(mesh);
  std::vector<Corners> triangles = mesh.triangles;
  for (Corners& c : triangles) {
    for (std::uint32_t& v : c) v = place[v];
  }
  return triangles;
}

/// Root of a vertex in the forest of joined vertices (path halving).
std::uint32_t root_of(std::vector<std::uint32_t>& parent, std::uint32_t v) {
  while (parent[v] != v) {
    parent[v] = parent[parent[v]];
    v = parent[v];
  }
  return v;
}

/// First corner (in the mesh's own numbering) of the first triangle of each connected piece.
std::vector<std::uint32_t> find_pieces(const Mesh& mesh, const std::vector<Corners>& triangles) {
  std::vector<std::uint32_t> parent(mesh.vertices.size());
  std::iota(parent.begin(), parent.end(), 0U);
  for (const Corners& c : triangles) {
    const std::uint32_t root = root_of(parent, c[0]);
    parent[root_of(parent, c[1])] = root;
    parent[root_of(parent, c[2])] = root;
  }
  std::vector<bool> seen(parent.size(), false);
  std::vector<std::uint32_t> pieces;
  for (std::size_t i = 0; i < triangles.size(); ++i) {
    const std::uint32_t root = root_of(parent, triangles[i][0]);
    if (seen[root]) continue;
    seen[root] = true;
    pieces.push_back(mesh.triangles[i][0]);
  }
  return pieces;
}

}  // namespace

Solid make_solid(Mesh mesh) {
  Solid solid;
  solid.bvh = build_bvh(mesh);
  const std::vector<Corners> triangles = welded_triangles(mesh);
  solid.closed = tally_edges(triangles, mesh.vertices.size()).closed();
  solid.piece_vertices = find_pieces(mesh, triangles);
  solid.mesh = std::move(mesh);
  return solid;
}

}  // namespace bight::shape
