#pragma once
// Bounding volume hierarchy over the triangles of a mesh, for everything that must find near
// triangles fast: clearance queries, rays, nearest points.
//
// A flat binary tree of axis-aligned boxes with one triangle a leaf. Each node also carries a slab:
// a direction near the mean normal of its triangles and its extent along it. A box around a leaning
// patch of width w is about w too thick; the slab is only as thick as the patch is curved (about
// w^2 / 8R), which is what oriented boxes gain (Gottschalk, Lin, Manocha, OBBTree, SIGGRAPH 1996)
// at a fraction of their price.

#include <cstddef>
#include <cstdint>
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
  float slab_half;  ///< half thickness of the slab, see BvhSlab

  static constexpr std::uint32_t k_leaf = 0x8000'0000U;
  bool leaf() const { return (link & k_leaf) != 0; }
  std::uint32_t child() const { return link; }
  std::uint32_t triangle() const { return link & ~k_leaf; }
};

/// Second bound of a node: for all its points x, | direction . (x - origin - center) - middle | <=
/// slab_half, rounded outward too. The direction has about unit length, or is zero (no slab).
struct alignas(16) BvhSlab {
  float direction[3];
  float middle;
};

/// nodes[0] is the root; empty for a mesh without triangles. 2 n - 1 nodes for n triangles, 96
/// bytes a triangle. No path is longer than k_max_depth, so traversals need no growing stack.
struct Bvh {
  Vec3 origin{0.0};  ///< mm, middle of the mesh: keeps single precision fine far from the origin
  std::vector<BvhNode> nodes;
  std::vector<BvhSlab> slabs;  ///< one a node

  static constexpr int k_max_depth = 72;
  bool empty() const { return nodes.empty(); }
};

/// Builds the hierarchy: top-down, splitting at the middle of the centroids' box along its longest
/// side (median where that fails), then boxes and slabs bottom-up. O(n log n), one thread, same
/// bits on every run. The mesh's coordinates must be finite and it must have fewer than 2^31
/// triangles.
Bvh build_bvh(const Mesh& mesh);

}  // namespace bight::shape
