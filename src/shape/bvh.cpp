#include "shape/bvh.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

#include "base/check.h"
#include "shape/float4.h"

namespace bight::shape {

namespace {

/// Depth from which on ranges are halved: k_median_depth + log2(2^31) <= Bvh::k_max_depth.
constexpr int k_median_depth = 40;

/// A triangle while the tree is split: middle of its box (relative to the origin) and its index.
struct alignas(16) Item {
  float center[3];
  std::uint32_t triangle;
};

/// A range of items that becomes the subtree of a node. The items lie in one of two buffers.
struct Range {
  std::uint32_t begin;
  std::uint32_t end;
  std::uint32_t node;
  std::uint16_t depth;
  std::uint16_t buffer;
};

/// Single precision number >= `half`, with room for rounding in `half` itself, which was computed
/// in double from coordinates not larger than `magnitude`.
float outward(double half, double magnitude) {
  return static_cast<float>((half + magnitude * 0x1p-49) * (1.0 + 0x1p-22));
}

struct Corners {
  const Vec3& p;
  const Vec3& q;
  const Vec3& r;
};

Corners corners(const Mesh& mesh, std::uint32_t triangle) {
  const auto& t = mesh.triangles[triangle];
  return {mesh.vertices[t[0]], mesh.vertices[t[1]], mesh.vertices[t[2]]};
}

void fill_items(const Mesh& mesh, const Vec3& origin, Item* items) {
  for (std::uint32_t i = 0; i < mesh.triangles.size(); ++i) {
    const Corners c = corners(mesh, i);
    const Vec3 middle =
        0.5 * (glm::min(glm::min(c.p, c.q), c.r) + glm::max(glm::max(c.p, c.q), c.r)) - origin;
    items[i] = {
        {static_cast<float>(middle.x), static_cast<float>(middle.y), static_cast<float>(middle.z)},
        i};
  }
}

/// Longest side of the box around the items' centres and its middle.
struct Cut {
  int axis;
  float at;
  bool possible;  ///< the centres do not all coincide
};

Cut find_cut(const Item* begin, const Item* end) {
  Float4 lower = Float4::load(begin->center);
  Float4 upper = lower;
  for (const Item* i = begin + 1; i != end; ++i) {
    const Float4 c = Float4::load(i->center);
    lower = min(lower, c);
    upper = max(upper, c);
  }
  alignas(16) std::array<float, 4> low{};
  alignas(16) std::array<float, 4> size{};
  lower.store(low.data());
  (upper - lower).store(size.data());
  const int axis = size[0] >= size[1] ? (size[0] >= size[2] ? 0 : 2) : (size[1] >= size[2] ? 1 : 2);
  const auto k = static_cast<std::size_t>(axis);
  return {axis, low[k] + 0.5F * size[k], size[k] > 0.0F};
}

/// Copies the items below the cut to the front of `to`, the others to its back; returns how many
/// are in front. Without branches: which side an item falls on cannot be predicted.
std::uint32_t split(const Item* from, Item* to, std::uint32_t count, const Cut& cut) {
  std::uint32_t front = 0;
  std::uint32_t back = count - 1;
  for (std::uint32_t i = 0; i < count; ++i) {
    const Item item = from[i];
    to[front] = item;
    to[back] = item;
    const auto is_front = static_cast<std::uint32_t>(item.center[cut.axis] < cut.at);
    front += is_front;
    back -= 1U - is_front;
  }
  return front;
}

void fill_leaf(const Mesh& mesh, const Vec3& origin, BvhNode& node, BvhCorners& rounded) {
  const Corners corner = corners(mesh, node.triangle());
  const std::array<Vec3, 4> p{corner.p - origin, corner.q - origin, corner.r - origin,
                              corner.r - origin};
  for (std::size_t i = 0; i < 4; ++i) {
    rounded.x[i] = static_cast<float>(p[i].x);
    rounded.y[i] = static_cast<float>(p[i].y);
    rounded.z[i] = static_cast<float>(p[i].z);
  }
  const Vec3 lower = glm::min(glm::min(p[0], p[1]), p[2]);
  const Vec3 upper = glm::max(glm::max(p[0], p[1]), p[2]);
  for (int k = 0; k < 3; ++k) {
    node.center[k] = static_cast<float>(0.5 * (lower[k] + upper[k]));
    const auto center = static_cast<double>(node.center[k]);
    node.half[k] = outward(std::max(upper[k] - center, center - lower[k]),
                           std::max(std::fabs(lower[k]), std::fabs(upper[k])));
  }
}

void fill_inner(const BvhNode& first, const BvhNode& second, BvhNode& node) {
  for (int k = 0; k < 3; ++k) {
    const auto center_1 = static_cast<double>(first.center[k]);
    const auto center_2 = static_cast<double>(second.center[k]);
    const auto half_1 = static_cast<double>(first.half[k]);
    const auto half_2 = static_cast<double>(second.half[k]);
    const double lower = std::min(center_1 - half_1, center_2 - half_2);
    const double upper = std::max(center_1 + half_1, center_2 + half_2);
    node.center[k] = static_cast<float>(0.5 * (lower + upper));
    const auto center = static_cast<double>(node.center[k]);
    node.half[k] = outward(std::max(upper - center, center - lower),
                           std::max(std::fabs(lower), std::fabs(upper)));
  }
}

Vec3 corner_at(const BvhCorners& c, std::size_t i) {
  return {static_cast<double>(c.x[i]), static_cast<double>(c.y[i]), static_cast<double>(c.z[i])};
}

Vec3 to_vec(const float (&v)[3]) {
  return {static_cast<double>(v[0]), static_cast<double>(v[1]), static_cast<double>(v[2])};
}

/// Sum of the area vectors (normal times twice the area) of a node's triangles.
Vec3 area_vector(const Bvh& bvh, std::uint32_t node) {
  if (!bvh.scanned(node)) {
    const BvhSlab& slab = bvh.slabs[bvh.places[node]];
    return static_cast<double>(slab.area) * to_vec(slab.direction);
  }
  Vec3 sum(0.0);
  for (const BvhCorners& c : bvh.corners_of(node)) {
    const Vec3 p = corner_at(c, 0);
    sum += glm::cross(corner_at(c, 1) - p, corner_at(c, 2) - p);
  }
  return sum;
}

/// Lowest and highest u.x over the points x of a node, relative to the hierarchy's origin. For a
/// node with a slab along v: u.x <= alpha (extent along v) + (u - alpha v).(extent of the box), for
/// any alpha; u.v is a good one. The box alone is the other bound.
std::pair<double, double> extent_along(const Bvh& bvh, std::uint32_t index, const Vec3& u) {
  double low = std::numeric_limits<double>::infinity();
  double high = -low;
  if (bvh.scanned(index)) {
    for (const BvhCorners& c : bvh.corners_of(index)) {
      for (std::size_t i = 0; i < 3; ++i) {
        const double along = glm::dot(u, corner_at(c, i));
        low = std::min(low, along);
        high = std::max(high, along);
      }
    }
    return {low, high};
  }
  const BvhNode& node = bvh.nodes[index];
  const BvhSlab& slab = bvh.slabs[bvh.places[index]];
  const Vec3 half = to_vec(node.half);
  const Vec3 v = to_vec(slab.direction);
  const double alpha = glm::dot(u, v);
  const double center = glm::dot(u, to_vec(node.center));
  const double box = glm::dot(glm::abs(u), half);
  const double middle = alpha * static_cast<double>(slab.middle);
  const double rest =
      glm::dot(glm::abs(u - alpha * v), half) + std::fabs(alpha) * static_cast<double>(slab.half);
  return {center + std::max(middle - rest, -box), center + std::min(middle + rest, box)};
}

BvhSlab make_slab(const Bvh& bvh, const BvhNode& node) {
  BvhSlab slab{};
  const Vec3 vector = area_vector(bvh, node.child()) + area_vector(bvh, node.child() + 1);
  const double length = glm::length(vector);
  slab.area = static_cast<float>(length);
  if (!(length > 0.0) || !std::isfinite(slab.area)) {
    slab.area = 0.0F;
    return slab;
  }
  for (int k = 0; k < 3; ++k) slab.direction[k] = static_cast<float>(vector[k] / length);
  const Vec3 direction = to_vec(slab.direction);
  const auto [low_1, high_1] = extent_along(bvh, node.child(), direction);
  const auto [low_2, high_2] = extent_along(bvh, node.child() + 1, direction);
  const double center = glm::dot(direction, to_vec(node.center));
  const double low = std::min(low_1, low_2) - center;
  const double high = std::max(high_1, high_2) - center;
  slab.middle = static_cast<float>(0.5 * (low + high));
  const auto middle = static_cast<double>(slab.middle);
  // Corners are rounded by 2^-25 of their coordinates; the rest is double precision.
  const double rounding =
      0x1p-24 * glm::dot(Vec3(1.0), glm::abs(to_vec(node.center)) + to_vec(node.half));
  slab.half = outward(std::max(high - middle, middle - low) + rounding, std::fabs(center));
  return slab;
}

}  // namespace

Bvh build_bvh(const Mesh& mesh) {
  BIGHT_CHECK(mesh.triangles.size() < BvhNode::k_leaf);
  Bvh bvh;
  if (mesh.empty()) return bvh;
  const auto count = static_cast<std::uint32_t>(mesh.triangles.size());
  bvh.origin = bounds(mesh).center();

  // Two buffers half of 4 KiB out of step: at the same place modulo 4 KiB the loads from one would
  // wait for the unrelated stores to the other.
  const std::uint32_t gap = (128U - count) % 256U;
  std::vector<Item> memory(2 * static_cast<std::size_t>(count) + gap);
  const std::array<Item*, 2> buffers{memory.data(), memory.data() + count + gap};
  fill_items(mesh, bvh.origin, buffers[0]);
  bvh.nodes.resize(2 * static_cast<std::size_t>(count) - 1);
  bvh.places.resize(bvh.nodes.size());

  std::uint32_t used = 1;
  std::vector<Range> stack{{0, count, 0, 0, 0}};
  while (!stack.empty()) {
    Range range = stack.back();
    stack.pop_back();
    const std::uint32_t size = range.end - range.begin;
    Item* items = buffers[range.buffer] + range.begin;
    bvh.nodes[range.node].count = size;
    bvh.places[range.node] = range.begin;
    if (size == 1) {
      bvh.nodes[range.node].link = BvhNode::k_leaf | items->triangle;
      continue;
    }
    std::uint32_t front = 1;
    if (size > 2) {
      const Cut cut = find_cut(items, items + size);
      front = 0;
      if (cut.possible && range.depth < k_median_depth) {
        range.buffer ^= 1U;
        Item* to = buffers[range.buffer] + range.begin;
        front = split(items, to, size, cut);
        items = to;
      }
      if (front == 0 || front == size) {
        front = size / 2;
        const auto axis = static_cast<std::size_t>(cut.axis);
        std::nth_element(items, items + front, items + size, [axis](const Item& a, const Item& b) {
          return a.center[axis] != b.center[axis] ? a.center[axis] < b.center[axis]
                                                  : a.triangle < b.triangle;
        });
      }
    }
    const std::uint32_t child = used;
    used += 2;
    bvh.nodes[range.node].link = child;
    const auto depth = static_cast<std::uint16_t>(range.depth + 1);
    stack.push_back({range.begin + front, range.end, child + 1, depth, range.buffer});
    stack.push_back({range.begin, range.begin + front, child, depth, range.buffer});
  }
  std::vector<Item>().swap(memory);

  bvh.corners.resize(count);
  for (auto i = static_cast<std::uint32_t>(bvh.nodes.size()); i-- > 0;) {  // children first
    BvhNode& node = bvh.nodes[i];
    if (node.leaf()) {
      fill_leaf(mesh, bvh.origin, node, bvh.corners[bvh.places[i]]);
      continue;
    }
    fill_inner(bvh.nodes[node.child()], bvh.nodes[node.child() + 1], node);
    if (bvh.scanned(i)) continue;
    bvh.slabs.push_back(make_slab(bvh, node));
    bvh.places[i] = static_cast<std::uint32_t>(bvh.slabs.size() - 1);
  }
  return bvh;
}

}  // namespace bight::shape
