#include "clearance/pair_bound.h"

#include <array>
#include <cmath>
#include <limits>

namespace bight::clearance {

using shape::Bvh;
using shape::BvhCorners;
using shape::BvhNode;
using shape::BvhSlab;
using shape::Float4;

namespace {

/// Taken off a squared bound for the rounding of its last few operations.
constexpr float k_less = 1.0F - 0x1p-20F;

Float4 to_float4(const Vec3& v) {
  return Float4::xyz(static_cast<float>(v.x), static_cast<float>(v.y), static_cast<float>(v.z));
}

bool along_an_axis(const Vec3& g) {
  return (g.x != 0.0 ? 1 : 0) + (g.y != 0.0 ? 1 : 0) + (g.z != 0.0 ? 1 : 0) == 1;
}

/// mm: bound of the coordinates of a hierarchy relative to its origin, summed over the axes.
double size_of(const Bvh& bvh) {
  double size = 0.0;
  for (int k = 0; k < 3; ++k) {
    size += std::fabs(static_cast<double>(bvh.nodes[0].center[k])) +
            static_cast<double>(bvh.nodes[0].half[k]);
  }
  return size;
}

/// Lower bound of n.x over the points x of a node, relative to the hierarchy's origin, less the
/// rounding of a slab; that of corners is left to the caller (PairBound::scan_rounding_).
float lowest_along(const Bvh& bvh, std::uint32_t index, Float4 n) {
  if (bvh.scanned(index)) {
    alignas(16) std::array<float, 4> along{};
    n.store(along.data());
    const Float4 x = Float4::all(along[0]);
    const Float4 y = Float4::all(along[1]);
    const Float4 z = Float4::all(along[2]);
    Float4 lowest = Float4::all(std::numeric_limits<float>::infinity());
    for (const BvhCorners& c : bvh.corners_of(index)) {
      lowest = min(lowest, x * Float4::load(c.x) + y * Float4::load(c.y) + z * Float4::load(c.z));
    }
    return smallest(lowest);
  }
  const BvhNode& node = bvh.nodes[index];
  const BvhSlab& slab = bvh.slabs[bvh.places[index]];
  const Float4 size = abs(n);
  const Float4 center = Float4::load_xyz(node.center);
  const Float4 half = Float4::load_xyz(node.half);
  const Float4 u = Float4::load_xyz(slab.direction);
  const float alpha = dot(n, u);
  const float rest = dot(abs(n - Float4::all(alpha) * u), half);
  const float thick = std::fabs(alpha) * slab.half + rest - alpha * slab.middle;
  // Some 16 operations on terms of this size, each off by 2^-24 at most.
  const float rounding = 0x1p-20F * dot(size, abs(center) + half);
  return dot(n, center) - std::fmin(dot(size, half), thick) - rounding;
}

}  // namespace

void PairBound::assign(const Bvh& a, const Bvh& b, const Vec3& offset,
                       std::span<const Vec3> generators, double rounding) {
  a_ = &a;
  b_ = &b;
  exact_offset_ = offset;
  exact_generators_.assign(generators.begin(), generators.end());
  offset_ = to_float4(offset);
  guess_ = Float4::all(0.0F);
  slanting_.clear();
  Vec3 inflation(0.0);
  Vec3 slanting(0.0);
  const double parts = size_of(a) + size_of(b);
  double size = parts + std::fabs(offset.x) + std::fabs(offset.y) + std::fabs(offset.z);
  for (const Vec3& g : generators) {
    if (along_an_axis(g)) {
      inflation += glm::abs(g);
    } else {
      slanting += glm::abs(g);
      const Float4 f = to_float4(g);
      slanting_.push_back({f, dot(f, f)});
    }
    size += std::fabs(g.x) + std::fabs(g.y) + std::fabs(g.z);
  }
  // A box's gap is a sum of six single precision terms, |center_a - center_b + offset| - (half_a +
  // half_b + inflation + slanting): terms and partial sums have a rounding error of 2^-25 of
  // themselves, all together below 8 times 2^-25 of `size`.
  inflation_ = to_float4(inflation + Vec3(rounding + 0x1p-22 * size));
  slanting_box_ = to_float4(slanting);
  // Corners are rounded (2^-25 of a coordinate) and their products with n summed in single
  // precision (3 roundings of 2^-24): below 4 times 2^-24 of |n| times `parts`. The rest is double.
  scan_rounding_ = rounding + 0x1p-22 * parts + 0x1p-48 * size;
}

void PairBound::set_guess(const Vec3& direction) {
  const double length = glm::length(direction);
  if (length > 0.0 && std::isfinite(length)) guess_ = to_float4(direction / length);
}

Float4 PairBound::gap_direction(Float4 d, Float4 half) const {
  for (const Generator& g : slanting_) {
    const float s = std::fmax(-1.0F, std::fmin(1.0F, -dot(d, g.g) / g.squared));
    d = d + Float4::all(s) * g.g;
  }
  return with_sign_of(max(abs(d) - half, Float4::all(0.0F)), d);
}

float PairBound::separation_squared(std::uint32_t node_a, std::uint32_t node_b, Float4 n) const {
  alignas(16) std::array<float, 4> along{};
  n.store(along.data());
  const Vec3 direction(static_cast<double>(along[0]), static_cast<double>(along[1]),
                       static_cast<double>(along[2]));
  double separation = static_cast<double>(lowest_along(*a_, node_a, n)) +
                      static_cast<double>(lowest_along(*b_, node_b, Float4::all(0.0F) - n)) +
                      glm::dot(direction, exact_offset_);
  for (const Vec3& g : exact_generators_) separation -= std::fabs(glm::dot(direction, g));
  const double squared_length = glm::dot(direction, direction);
  separation -= scan_rounding_ * std::sqrt(squared_length);
  if (!(separation > 0.0)) return 0.0F;
  return static_cast<float>(separation * separation / squared_length) * k_less;
}

float PairBound::value(std::uint32_t node_a, std::uint32_t node_b, float prune_squared) const {
  const Float4 zero = Float4::all(0.0F);
  const BvhNode& a = a_->nodes[node_a];
  const BvhNode& b = b_->nodes[node_b];
  const Float4 d = Float4::load_xyz(a.center) - Float4::load_xyz(b.center) + offset_;
  const Float4 half = Float4::load_xyz(a.half) + Float4::load_xyz(b.half) + inflation_;
  const Float4 gap = abs(d) - (half + slanting_box_);
  const Float4 outside = max(gap, zero);
  float squared = dot(outside, outside) * k_less;
  if (squared > prune_squared) return squared;

  const auto look_along = [&](Float4 n) {
    if (squared > prune_squared || !(dot(n, n) > 0.0F)) return;
    squared = std::fmax(squared, separation_squared(node_a, node_b, n));
  };
  look_along(slanting_.empty() ? with_sign_of(outside, d) : gap_direction(d, half));
  look_along(guess_);
  if (squared > 0.0F) return squared;
  const Float4 middle_gap = max(abs(d) - (inflation_ + slanting_box_), zero);
  const float middle_squared = dot(middle_gap, middle_gap);
  return middle_squared > 0.0F ? -1.0F / (1.0F + middle_squared) : -1.0F + largest_xyz(gap);
}

}  // namespace bight::clearance
