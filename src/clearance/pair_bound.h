#pragma once
// Lower bound of the distance of two nodes' contents over a travel: the test that a traversal does
// for every pair of nodes, in single precision with rounding on the safe side.

#include <cstdint>
#include <span>
#include <vector>

#include "base/vec.h"
#include "shape/bvh.h"
#include "shape/float4.h"

namespace bight::clearance {

/// A - B + Z for nodes of two hierarchies.
///
/// With the boxes alone the set is a box of middle d and half extents h, plus the generators of Z.
/// Generators along the plan's axes only make the box longer, exactly. For the slanting ones the
/// middle is moved along each segment as near to 0 as it gets; the gap to the box that is left is a
/// good direction n to look along. Along any n the whole set lies beyond
///   n.d - h_A(n) - h_B(-n) - h_Z(n),
/// divided by |n| a lower bound of the distance, whatever n is. For nodes of few triangles h is
/// that of their convex hull, by a scan of their corners; for others the smaller of the support of
/// the box and of the slab (n = alpha u + rest: alpha times the slab's extent plus the box's along
/// the rest, for any alpha; alpha = n.u is a good one).
///
/// Measured on leaning parts (posts, 100k triangles each; whole travel / slanting moves of 20 mm):
/// boxes alone 530 us / 21 ms, with slabs 180 us / 0.89 ms, with corners of up to 8 triangles 124
/// us / 0.42 ms, 32: 87 us / 0.24 ms, 48: 82 us / 0.20 ms, 64: 84 us / 0.19 ms. Without slabs
/// above, moves take 2.4 times as long at a million. Tried and dropped: a second slab a node (15 to
/// 30 % fewer pairs, twice the build, no less time); the slabs' own directions as further n (a
/// tenth fewer pairs, more time); two to eight of Gilbert's (1966) steps towards the nearest points
/// of the corners' hulls (half the leaves, a fifth fewer pairs, a fifth to twice more time).
class PairBound {
 public:
  /// `offset`: origin of A - origin of B + middle of Z, mm. `rounding`: mm, added to be safe
  /// against the rounding of these.
  void assign(const shape::Bvh& a, const shape::Bvh& b, const Vec3& offset,
              std::span<const Vec3> generators, double rounding);

  /// Second direction to look along: that of the nearest points so far, from B to A. Where the
  /// boxes meet it is the only one.
  void set_guess(const Vec3& direction);

  /// > 0: square of a lower bound of the distance, mm^2. Otherwise no bound is known, and lower
  /// values are to be looked at first: in (-1, 0) for boxes whose middles stay apart over the
  /// travel (the nearer, the lower), below -1 by the depth to which they overlap otherwise. Stops
  /// refining when above `prune_squared`.
  float value(std::uint32_t node_a, std::uint32_t node_b, float prune_squared) const;

 private:
  struct Generator {
    shape::Float4 g;
    float squared;
  };

  shape::Float4 gap_direction(shape::Float4 d, shape::Float4 half) const;
  float separation_squared(std::uint32_t node_a, std::uint32_t node_b, shape::Float4 n) const;

  const shape::Bvh* a_ = nullptr;
  const shape::Bvh* b_ = nullptr;
  shape::Float4 offset_ = shape::Float4::all(0.0F);
  shape::Float4 inflation_ = shape::Float4::all(0.0F);  ///< generators along the axes, rounding
  shape::Float4 slanting_box_ = shape::Float4::all(0.0F);
  shape::Float4 guess_ = shape::Float4::all(0.0F);
  std::vector<Generator> slanting_;
  Vec3 exact_offset_{0.0};
  std::vector<Vec3> exact_generators_;
  double scan_rounding_ = 0.0;
};

}  // namespace bight::clearance
