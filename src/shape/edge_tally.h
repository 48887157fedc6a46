#pragma once
// How the triangles of a mesh share their edges: what decides whether a surface bounds a solid.

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

namespace bight::shape {

/// A triangle by the numbers of its corners.
using Corners = std::array<std::uint32_t, 3>;

/// Two corners are one: such a triangle bounds nothing and has no edges of its own.
inline bool is_collapsed(const Corners& c) {
  return c[0] == c[1] || c[1] == c[2] || c[2] == c[0];
}

/// Counts of edges by the triangles that run along them. Two triangles that agree about the outside
/// run along their edge in opposite directions: they pair off.
struct EdgeTally {
  std::size_t edges = 0;
  std::size_t open = 0;         ///< one triangle: the surface has a rim
  std::size_t misoriented = 0;  ///< two triangles that do not pair off
  std::size_t branched = 0;     ///< three or more that do not
  std::size_t shared = 0;       ///< four or more that do: bodies touch there

  /// Every edge is run as often one way as the other: then the triangles bound a region of space
  /// (their boundary is zero) and winding numbers are whole, also where bodies of one mesh share an
  /// edge, as two boxes set on each other do.
  bool closed() const { return edges > 0 && open == 0 && misoriented == 0 && branched == 0; }
};

/// Collapsed triangles are left out. Corners at one place must have one number, below `vertices`.
/// In linear time, as long as no vertex has more than a handful of edges.
EdgeTally tally_edges(const std::vector<Corners>& triangles, std::size_t vertices);

}  // namespace bight::shape
