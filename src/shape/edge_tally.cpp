#include "shape/edge_tally.h"

#include <algorithm>
#include <numeric>

namespace bight::shape {
namespace {

/// An edge in the bucket of its lower end.
struct Edge {
  std::uint32_t upper = 0;  ///< the higher end
  bool rising = false;      ///< runs from the lower to the higher end

  bool operator<(const Edge& e) const { return upper < e.upper; }
};

template <typename Use>
void for_each_edge(const std::vector<Corners>& triangles, const Use& use) {
  for (const Corners& c : triangles) {
    if (is_collapsed(c)) continue;
    for (std::size_t k = 0; k < 3; ++k) {
      const std::uint32_t from = c[k];
      const std::uint32_t to = c[k == 2 ? 0 : k + 1];
      use(std::min(from, to), Edge{std::max(from, to), from < to});
    }
  }
}

void add(EdgeTally& tally, std::size_t count, std::size_t rising) {
  const bool paired = 2 * rising == count;
  ++tally.edges;
  if (count == 1) ++tally.open;
  if (count == 2 && !paired) ++tally.misoriented;
  if (count > 2) ++(paired ? tally.shared : tally.branched);
}

}  // namespace

EdgeTally tally_edges(const std::vector<Corners>& triangles, std::size_t vertices) {
  // One counting pass puts the edges into buckets by their lower end. A vertex has some six edges,
  // so sorting each bucket is cheap.
  std::vector<std::uint32_t> start(vertices + 1, 0);
  for_each_edge(triangles, [&start](std::uint32_t lower, const Edge&) { ++start[lower + 1]; });
  std::partial_sum(start.begin(), start.end(), start.begin());
  std::vector<Edge> edges(start.back());
  std::vector<std::uint32_t> next(start.begin(), start.end() - 1);
  for_each_edge(triangles, [&](std::uint32_t lower, const Edge& e) { edges[next[lower]++] = e; });

  EdgeTally tally;
  for (std::size_t v = 0; v < vertices; ++v) {
    const auto bucket_end = edges.begin() + start[v + 1];
    std::sort(edges.begin() + start[v], bucket_end);
    for (auto e = edges.begin() + start[v]; e != bucket_end;) {
      std::size_t count = 0;
      std::size_t rising = 0;
      for (const std::uint32_t upper = e->upper; e != bucket_end && e->upper == upper; ++e) {
        ++count;
        rising += e->rising ? 1 : 0;
      }
      add(tally, count, rising);
    }
  }
  return tally;
}

}  // namespace bight::shape
