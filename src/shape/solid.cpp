#include "shape/solid.h"

#include <algorithm>
#include <array>
#include <numeric>
#include <utility>

#include "shape/weld.h"

namespace bight::shape {

namespace {

using Corners = std::array<std::uint32_t, 3>;

bool degenerate(const Corners& c) {
  return c[0] == c[1] || c[1] == c[2] || c[2] == c[0];
}

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

/// True when each edge is used as often in one direction as in the other: then the triangles bound
/// a region of space (their boundary is zero) and winding numbers are whole, also where bodies of
/// one mesh share an edge, as two boxes set on each other do. Edges are sorted into one bucket for
/// each lower end (a vertex has some six edges, so a bucket is a handful).
bool is_closed(const std::vector<Corners>& triangles, std::size_t vertices) {
  struct Edge {
    std::uint32_t upper;  ///< the higher end
    bool rising;          ///< runs from the lower to the higher end
    bool operator<(const Edge& e) const {
      return upper != e.upper ? upper < e.upper : rising < e.rising;
    }
  };
  const auto for_each_edge = [&triangles](auto&& use) {
    for (const Corners& c : triangles) {
      if (degenerate(c)) continue;
      for (std::size_t k = 0; k < 3; ++k) {
        const std::uint32_t from = c[k];
        const std::uint32_t to = c[k == 2 ? 0 : k + 1];
        use(std::min(from, to), Edge{std::max(from, to), from < to});
      }
    }
  };
  std::vector<std::uint32_t> start(vertices + 1, 0);
  for_each_edge([&start](std::uint32_t lower, const Edge&) { ++start[lower + 1]; });
  std::partial_sum(start.begin(), start.end(), start.begin());
  const std::size_t count = start.back();
  if (count == 0) return false;
  std::vector<Edge> edges(count);
  std::vector<std::uint32_t> next(start.begin(), start.end() - 1);
  for_each_edge([&](std::uint32_t lower, const Edge& e) { edges[next[lower]++] = e; });
  for (std::size_t v = 0; v < vertices; ++v) {
    const auto begin = edges.begin() + start[v];
    const auto end = edges.begin() + start[v + 1];
    std::sort(begin, end);
    int balance = 0;
    for (auto e = begin; e != end; ++e) {
      balance += e->rising ? 1 : -1;
      const bool last_of_its_edge = e + 1 == end || e[1].upper != e->upper;
      if (last_of_its_edge && balance != 0) return false;
    }
  }
  return true;
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
  solid.closed = is_closed(triangles, mesh.vertices.size());
  solid.piece_vertices = find_pieces(mesh, triangles);
  solid.mesh = std::move(mesh);
  return solid;
}

}  // namespace bight::shape
