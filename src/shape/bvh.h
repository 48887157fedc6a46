#pragma once
// Bounding volume hierarchy over the triangles of a mesh, for everything that must find near
// triangles fast: clearance queries, rays, nearest points.
//
// A flat binary tree of axis-aligned boxes with one triangle a leaf. Boxes are loose around
// anything that leans: around a patch of width w by about w. So a node has a second bound:
// - up to k_scan_triangles triangles, their corners: they lie together in memory, so the extent of
//   their convex hull along any direction is a short scan, and exact;
// - above, a slab: a direction near the mean normal and the extent along it. A patch is only as
//   thick as it is curved (about w^2 / 8R), which is what oriented boxes gain (Gottschalk, Lin,
//   Manocha, OBBTree, SIGGRAPH 1996) at a fraction of their price.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "base/vec.h"
#include "shape/mesh.h"

namespace bight::shape {

/// Box of a node: centre and half extents in mm relative to Bvh::origin, in single precision,
/// rounded outward: the true box of its triangles lies inside [center - half, center + half] taken
/// in real numbers.
struct alignas(16) BvhNode {
  float center[3];
  /// Inner node: index of its first child, the second follows it. Leaf: k_leaf | triangle of the
  /// mesh.
  std::uint32_t link;
  float half[3];
  std::uint32_t count;  ///< triangles below

  static constexpr std::uint32_t k_leaf = 0x8000'0000U;
  bool leaf() const { return (link & k_leaf) != 0; }
  std::uint32_t child() const { return link; }
  std::uint32_t triangle() const { return link & ~k_leaf; }
};

/// For all points x of the node, | direction . (x - origin - center) - middle | <= half, rounded
/// outward too. The direction has about unit length, or is zero (then this says nothing).
struct BvhSlab {
  float direction[3];
  float middle;
  float half;
  float area;  ///< length of the sum of the triangles' area vectors, mm^2
};

/// The corners of one triangle relative to Bvh::origin, rounded to nearest, by coordinate; the
/// fourth is the third again.
struct alignas(16) BvhCorners {
  float x[4];
  float y[4];
  float z[4];
};

/// nodes[0] is the root; empty for a mesh without triangles. 2 n - 1 nodes for n triangles, 122
/// bytes a triangle in all. No path is longer than k_max_depth, so traversals need no growing
/// stack.
struct Bvh {
  Vec3 origin{0.0};  ///< mm, middle of the mesh: keeps single precision fine far from the origin
  std::vector<BvhNode> nodes;
  /// One a node: of a node that is scanned, the first of its triangles in `corners`; of another,
  /// its place in `slabs`.
  std::vector<std::uint32_t> places;
  std::vector<BvhCorners> corners;  ///< one a triangle, in the order of the leaves
  std::vector<BvhSlab> slabs;

  static constexpr std::uint32_t k_scan_triangles = 48;
  static constexpr int k_max_depth = 72;
  bool empty() const { return nodes.empty(); }
  std::span<const BvhCorners> corners_of(std::uint32_t node) const {
    return {corners.data() + places[node], nodes[node].count};
  }
  bool scanned(std::uint32_t node) const { return nodes[node].count <= k_scan_triangles; }
};

/// Builds the hierarchy: top-down, splitting at the middle of the centroids' box along its longest
/// side (median where that fails), then boxes and slabs bottom-up. O(n log n), one thread, same
/// bits on every run. The mesh's coordinates must be finite and it must have fewer than 2^31
/// triangles.
Bvh build_bvh(const Mesh& mesh);

}  // namespace bight::shape
