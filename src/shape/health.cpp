#include "shape/health.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numeric>
#include <tuple>
#include <vector>

#include "base/tolerance.h"
#include "shape/edge_tally.h"
#include "shape/weld.h"

namespace bight::shape {
namespace {

/// The corners of a triangle in rising order.
struct Facet {
  std::uint32_t lowest = 0;
  std::uint32_t middle = 0;
  std::uint32_t highest = 0;

  bool operator<(const Facet& f) const {
    return std::tie(middle, highest) < std::tie(f.middle, f.highest);
  }
};

/// Sorted by the lowest vertex and then among themselves. A vertex has a handful of triangles, so
/// one counting pass and many tiny sorts make it linear.
std::vector<Facet> sorted_by_vertex(const std::vector<Facet>& facets, std::size_t vertices) {
  std::vector<std::size_t> start(vertices + 1, 0);
  for (const Facet& facet : facets) ++start[facet.lowest + 1];
  std::partial_sum(start.begin(), start.end(), start.begin());
  std::vector<std::size_t> next(start.begin(), start.end() - 1);
  std::vector<Facet> sorted(facets.size());
  for (const Facet& facet : facets) sorted[next[facet.lowest]++] = facet;
  for (std::size_t v = 0; v < vertices; ++v) {
    std::sort(sorted.begin() + static_cast<std::ptrdiff_t>(start[v]),
              sorted.begin() + static_cast<std::ptrdiff_t>(start[v + 1]));
  }
  return sorted;
}

void count_edges(const Mesh& mesh, Health& health) {
  const EdgeTally tally = tally_edges(mesh.triangles, mesh.vertices.size());
  health.open_edges = tally.open;
  health.misoriented_edges = tally.misoriented;
  health.branched_edges = tally.branched;
  health.shared_edges = tally.shared;
}

void count_duplicates(const Mesh& mesh, Health& health) {
  std::vector<Facet> facets;
  facets.reserve(mesh.triangles.size());
  for (Corners c : mesh.triangles) {
    std::sort(c.begin(), c.end());
    facets.push_back({c[0], c[1], c[2]});
  }
  facets = sorted_by_vertex(facets, mesh.vertices.size());
  for (std::size_t i = 1; i < facets.size(); ++i) {
    const bool same = facets[i].lowest == facets[i - 1].lowest && !(facets[i - 1] < facets[i]);
    if (same) ++health.duplicate_triangles;
  }
}

bool degenerate(const Vec3& a, const Vec3& b, const Vec3& c) {
  const double longest = std::max({glm::length(b - a), glm::length(c - b), glm::length(a - c)});
  const double twice_area = glm::length(glm::cross(b - a, c - a));
  return !(twice_area > k_length_equal_mm * longest);
}

struct Shell {
  double six_volumes = 0.0;
  Box box;
};

std::uint32_t root_of(std::vector<std::uint32_t>& parent, std::uint32_t v) {
  while (parent[v] != v) v = parent[v] = parent[parent[v]];
  return v;
}

/// Pieces of the surface in the order of their first triangle.
std::vector<Shell> find_shells(const Mesh& mesh, const Vec3& apex) {
  std::vector<std::uint32_t> parent(mesh.vertices.size());
  std::iota(parent.begin(), parent.end(), 0U);
  for (const Corners& c : mesh.triangles) {
    if (is_collapsed(c)) continue;
    for (const std::uint32_t v : {c[1], c[2]}) {
      const auto [low, high] = std::minmax({root_of(parent, c[0]), root_of(parent, v)});
      parent[high] = low;
    }
  }
  constexpr std::uint32_t k_none = UINT32_MAX;
  std::vector<std::uint32_t> shell_of(mesh.vertices.size(), k_none);
  std::vector<Shell> shells;
  for (const Corners& c : mesh.triangles) {
    if (is_collapsed(c)) continue;
    std::uint32_t& index = shell_of[root_of(parent, c[0])];
    if (index == k_none) {
      index = static_cast<std::uint32_t>(shells.size());
      shells.emplace_back();
    }
    Shell& shell = shells[index];
    const std::array p = {mesh.vertices[c[0]] - apex, mesh.vertices[c[1]] - apex,
                          mesh.vertices[c[2]] - apex};
    shell.six_volumes += glm::dot(p[0], glm::cross(p[1], p[2]));
    for (const Vec3& q : p) shell.box.extend(q);
  }
  return shells;
}

bool contains(const Box& outer, const Box& inner) {
  const auto inside = [](const Vec3& a, const Vec3& b) {
    return a.x <= b.x && a.y <= b.y && a.z <= b.z;
  };
  return inside(outer.lower, inner.lower) && inside(inner.upper, outer.upper);
}

std::size_t count_inside_out(std::vector<Shell> shells) {
  std::stable_sort(shells.begin(), shells.end(),
                   [](const Shell& a, const Shell& b) { return a.six_volumes > b.six_volumes; });
  const auto first_inward = std::find_if(shells.begin(), shells.end(),
                                         [](const Shell& s) { return s.six_volumes < 0.0; });
  const auto hosts_end =
      shells.begin() + std::min<std::ptrdiff_t>(first_inward - shells.begin(), k_cavity_hosts);
  return static_cast<std::size_t>(std::count_if(first_inward, shells.end(), [&](const Shell& s) {
    return std::none_of(shells.begin(), hosts_end,
                        [&](const Shell& host) { return contains(host.box, s.box); });
  }));
}

}  // namespace

Health check_health(const Mesh& unwelded) {
  const Mesh mesh = welded(unwelded);
  Health health;
  health.triangles = mesh.triangles.size();
  if (health.empty()) return health;
  health.box = bounds(mesh);
  health.volume_mm3 = signed_volume(mesh);
  count_edges(mesh, health);
  count_duplicates(mesh, health);
  for (const Corners& c : mesh.triangles) {
    if (degenerate(mesh.vertices[c[0]], mesh.vertices[c[1]], mesh.vertices[c[2]])) {
      ++health.degenerate_triangles;
    }
  }
  std::vector<Shell> shells = find_shells(mesh, health.box.center());
  health.shells = shells.size();
  if (health.closed()) health.inside_out_shells = count_inside_out(std::move(shells));
  return health;
}

}  // namespace bight::shape
