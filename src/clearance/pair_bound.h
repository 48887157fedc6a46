#pragma once
// Lower bound of the distance of two nodes' contents over a travel: the test that a traversal does
// for every pair of nodes, in single precision with rounding on the safe side.

#include <cmath>
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
/// nearest point of d + (segments) to the box [-h, h] is approached by Newton steps on one
/// generator after the other; the residual r there is the direction of the gap. Along any direction
/// n the whole set lies beyond
///   n.d - h_A(n) - h_B(-n) - h_Z(n),
/// divided by |n| a lower bound of the distance, whatever n is; h_A is the smaller of the support
/// of the box and of the slab (see shape/bvh.h: n = alpha u + rest).
class PairBound {
 public:
  /// `offset`: origin of A - origin of B + middle of Z, mm. `rounding`: mm added to be safe
  /// against the rounding of these. `size`: mm, no coordinate of either tree or offset is larger.
  void assign(const Vec3& offset, std::span<const Vec3> generators, double rounding, double size);

  /// Second direction to try: that of the nearest points so far, from B to A. Where the boxes meet
  /// it is the only one.
  void set_guess(const Vec3& direction);

  /// > 0: square of a lower bound of the distance, mm^2. Otherwise no bound is known, and lower
  /// values are to be looked at first: in (-1, 0) for boxes whose middles stay apart over the
  /// travel (the nearer, the lower), below -1 by the depth to which they overlap otherwise. Stops
  /// refining when above `prune_squared`.
  float value(const shape::BvhNode& a, const shape::BvhSlab& slab_a, const shape::BvhNode& b,
              const shape::BvhSlab& slab_b, float prune_squared) const;

 private:
  struct Generator {
    shape::Float4 g;
    float squared;
  };
  struct Nodes {
    shape::Float4 d;
    shape::Float4 half_a;
    shape::Float4 half_b;
    shape::Float4 u_a;
    shape::Float4 u_b;
    float middle_a, slab_half_a, middle_b, slab_half_b;
  };

  shape::Float4 gap_direction(shape::Float4 d, shape::Float4 half) const;
  float separation_squared(const Nodes& nodes, shape::Float4 n) const;

  shape::Float4 offset_ = shape::Float4::all(0.0F);
  shape::Float4 inflation_ = shape::Float4::all(0.0F);  ///< generators along the axes, rounding
  shape::Float4 slanting_ = shape::Float4::all(0.0F);   ///< boxes of the slanting generators
  shape::Float4 guess_ = shape::Float4::all(0.0F);
  std::vector<Generator> generators_;  ///< slanting
};

// Inline: it is the innermost loop of every query.

inline float PairBound::separation_squared(const Nodes& nodes, shape::Float4 n) const {
  using shape::abs;
  using shape::dot;
  using shape::Float4;
  const Float4 size = abs(n);
  const float alpha_a = dot(n, nodes.u_a);
  const float alpha_b = dot(n, nodes.u_b);
  const Float4 rest_a = abs(n - Float4::all(alpha_a) * nodes.u_a);
  const Float4 rest_b = abs(n - Float4::all(alpha_b) * nodes.u_b);
  const float box_a = dot(size, nodes.half_a);
  const float box_b = dot(size, nodes.half_b);
  const float thick_a =
      std::fabs(alpha_a) * nodes.slab_half_a + dot(rest_a, nodes.half_a) - alpha_a * nodes.middle_a;
  const float thick_b =
      std::fabs(alpha_b) * nodes.slab_half_b + dot(rest_b, nodes.half_b) + alpha_b * nodes.middle_b;
  float swept = dot(size, inflation_);
  for (const Generator& g : generators_) swept += std::fabs(dot(n, g.g));
  const float along = dot(n, nodes.d);
  // Some 30 operations of relative error 2^-24 on terms of this size.
  const float rounding = 0x1p-19F * (dot(size, abs(nodes.d)) + box_a + box_b + swept);
  const float separation =
      along - std::fmin(box_a, thick_a) - std::fmin(box_b, thick_b) - swept - rounding;
  if (!(separation > 0.0F)) return 0.0F;
  return separation * separation / dot(n, n) * (1.0F - 0x1p-20F);
}

inline shape::Float4 PairBound::gap_direction(shape::Float4 d, shape::Float4 half) const {
  using shape::Float4;
  const Float4 zero = Float4::all(0.0F);
  // Start at the point of each segment nearest to the box's middle.
  for (const Generator& g : generators_) {
    const float s = std::fmax(-1.0F, std::fmin(1.0F, -dot(d, g.g) / g.squared));
    d = d + Float4::all(s) * g.g;
  }
  return with_sign_of(max(abs(d) - half, zero), d);
}

inline float PairBound::value(const shape::BvhNode& a, const shape::BvhSlab& slab_a,
                              const shape::BvhNode& b, const shape::BvhSlab& slab_b,
                              float prune_squared) const {
  using shape::Float4;
  Nodes nodes;
  nodes.half_a = Float4::load_xyz(a.half);
  nodes.half_b = Float4::load_xyz(b.half);
  nodes.d = Float4::load_xyz(a.center) - Float4::load_xyz(b.center) + offset_;
  const Float4 half = nodes.half_a + nodes.half_b + inflation_;
  const Float4 gap = abs(nodes.d) - (half + slanting_);
  const Float4 outside = max(gap, Float4::all(0.0F));
  float squared = dot(outside, outside) * (1.0F - 0x1p-20F);
  if (squared > prune_squared) return squared;

  nodes.u_a = Float4::load_xyz(slab_a.direction);
  nodes.u_b = Float4::load_xyz(slab_b.direction);
  nodes.middle_a = slab_a.middle;
  nodes.middle_b = slab_b.middle;
  nodes.slab_half_a = a.slab_half;
  nodes.slab_half_b = b.slab_half;
  const Float4 n =
      generators_.empty() ? with_sign_of(outside, nodes.d) : gap_direction(nodes.d, half);
  if (dot(n, n) > 0.0F) {
    squared = std::fmax(squared, separation_squared(nodes, n));
    if (squared > prune_squared) return squared;
  }
  if (dot(guess_, guess_) > 0.0F) {
    squared = std::fmax(squared, separation_squared(nodes, guess_));
  }
  if (squared > 0.0F) return squared;
  const Float4 middle_gap = max(abs(nodes.d) - (inflation_ + slanting_), Float4::all(0.0F));
  const float middle_squared = dot(middle_gap, middle_gap);
  return middle_squared > 0.0F ? -1.0F / (1.0F + middle_squared) : -1.0F + largest_xyz(gap);
}

}  // namespace bight::clearance
