#include "shape/bvh.h"

#include <algorithm>
#include <array>
#include <cmath>
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

std::vector<Item> triangle_items(const Mesh& mesh, const Vec3& origin) {
  std::vector<Item> items(mesh.triangles.size());
  for (std::uint32_t i = 0; i < items.size(); ++i) {
    const Corners c = corners(mesh, i);
    const Vec3 middle =
        0.5 * (glm::min(glm::min(c.p, c.q), c.r) + glm::max(glm::max(c.p, c.q), c.r)) - origin;
    items[i] = {
        {static_cast<float>(middle.x), static_cast<float>(middle.y), static_cast<float>(middle.z)},
        i};
  }
  return items;
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

void fill_leaf(const Mesh& mesh, const Vec3& origin, BvhNode& node, BvhSlab& slab, float& area) {
  const Corners corner = corners(mesh, node.triangle());
  const std::array<Vec3, 3> p{corner.p - origin, corner.q - origin, corner.r - origin};
  const Vec3 lower = glm::min(glm::min(p[0], p[1]), p[2]);
  const Vec3 upper = glm::max(glm::max(p[0], p[1]), p[2]);
  double magnitude = 0.0;
  Vec3 center(0.0);
  for (int k = 0; k < 3; ++k) {
    node.center[k] = static_cast<float>(0.5 * (lower[k] + upper[k]));
    center[k] = static_cast<double>(node.center[k]);
    const double size = std::max(std::fabs(lower[k]), std::fabs(upper[k]));
    node.half[k] = outward(std::max(upper[k] - center[k], center[k] - lower[k]), size);
    magnitude += size;
  }
  const Vec3 normal = glm::cross(p[1] - p[0], p[2] - p[0]);
  const double length = glm::length(normal);
  area = 0.0F;
  slab = {{0.0F, 0.0F, 0.0F}, 0.0F};
  node.slab_half = 0.0F;
  if (!(length > 0.0) || !std::isfinite(length)) return;
  Vec3 direction(0.0);
  for (int k = 0; k < 3; ++k) {
    slab.direction[k] = static_cast<float>(normal[k] / length);
    direction[k] = static_cast<double>(slab.direction[k]);
  }
  area = static_cast<float>(length);
  double low = glm::dot(direction, p[0] - center);
  double high = low;
  for (int k = 1; k < 3; ++k) {
    const double d = glm::dot(direction, p[static_cast<std::size_t>(k)] - center);
    low = std::min(low, d);
    high = std::max(high, d);
  }
  slab.middle = static_cast<float>(0.5 * (low + high));
  const auto middle = static_cast<double>(slab.middle);
  node.slab_half = outward(std::max(high - middle, middle - low), magnitude);
}

/// Extent of a child along the direction of its parent's slab, relative to the parent's centre:
/// u.x <= alpha (slab of the child along its own direction v) + (u - alpha v).(box of the child),
/// for any alpha; u.v is a good one. The box alone is the other bound.
std::pair<float, float> extent_along(Float4 u, Float4 parent_center, const BvhNode& child,
                                     const BvhSlab& slab) {
  const Float4 half = Float4::load_xyz(child.half);
  const Float4 v = Float4::load_xyz(slab.direction);
  const float alpha = dot(u, v);
  const float offset = dot(u, Float4::load_xyz(child.center) - parent_center);
  const float box = dot(abs(u), half);
  const float rest =
      dot(abs(u - Float4::all(alpha) * v), half) + std::fabs(alpha) * child.slab_half;
  const float middle = alpha * slab.middle;
  return {offset + std::max(middle - rest, -box), offset + std::min(middle + rest, box)};
}

void fill_inner(std::vector<BvhNode>& nodes, std::vector<BvhSlab>& slabs, std::vector<float>& areas,
                std::size_t index) {
  BvhNode& node = nodes[index];
  const std::size_t first = node.child();
  const std::array<const BvhNode*, 2> children{&nodes[first], &nodes[first + 1]};
  for (int k = 0; k < 3; ++k) {
    double lower = 0.0;
    double upper = 0.0;
    for (std::size_t c = 0; c < 2; ++c) {
      const auto center = static_cast<double>(children[c]->center[k]);
      const auto half = static_cast<double>(children[c]->half[k]);
      lower = c == 0 ? center - half : std::min(lower, center - half);
      upper = c == 0 ? center + half : std::max(upper, center + half);
    }
    node.center[k] = static_cast<float>(0.5 * (lower + upper));
    const auto center = static_cast<double>(node.center[k]);
    node.half[k] = outward(std::max(upper - center, center - lower),
                           std::max(std::fabs(lower), std::fabs(upper)));
  }
  // The direction is that of the summed area vectors: an inner node keeps the sum's length in
  // `areas`, so its own direction times its area is its part of the sum.
  const Float4 vector =
      Float4::load_xyz(slabs[first].direction) * Float4::all(areas[first]) +
      Float4::load_xyz(slabs[first + 1].direction) * Float4::all(areas[first + 1]);
  const float length = std::sqrt(dot(vector, vector));
  slabs[index] = {{0.0F, 0.0F, 0.0F}, 0.0F};
  node.slab_half = 0.0F;
  areas[index] = 0.0F;
  if (!(length > 0.0F) || !std::isfinite(length)) return;
  const Float4 direction = vector * Float4::all(1.0F / length);
  areas[index] = length;
  direction.store(slabs[index].direction);
  slabs[index].middle = 0.0F;
  const Float4 center = Float4::load_xyz(node.center);
  const auto [low0, high0] = extent_along(direction, center, *children[0], slabs[first]);
  const auto [low1, high1] = extent_along(direction, center, *children[1], slabs[first + 1]);
  const float low = std::min(low0, low1);
  const float high = std::max(high0, high1);
  slabs[index].middle = 0.5F * (low + high);
  // Every term above is at most a few times the node's size, so its rounding (some 20 operations of
  // 2^-24) is below 2^-19 of it.
  const float rounding = (node.half[0] + node.half[1] + node.half[2]) * 0x1p-19F;
  node.slab_half = std::max(high - slabs[index].middle, slabs[index].middle - low) + rounding;
}

}  // namespace

Bvh build_bvh(const Mesh& mesh) {
  BIGHT_CHECK(mesh.triangles.size() < BvhNode::k_leaf);
  Bvh bvh;
  if (mesh.empty()) return bvh;
  const auto count = static_cast<std::uint32_t>(mesh.triangles.size());
  bvh.origin = bounds(mesh).center();

  std::array<std::vector<Item>, 2> buffers;
  buffers[0] = triangle_items(mesh, bvh.origin);
  buffers[1].resize(count);
  bvh.nodes.resize(2 * static_cast<std::size_t>(count) - 1);

  std::uint32_t used = 1;
  std::vector<Range> stack{{0, count, 0, 0, 0}};
  while (!stack.empty()) {
    Range range = stack.back();
    stack.pop_back();
    const std::uint32_t size = range.end - range.begin;
    Item* items = buffers[range.buffer].data() + range.begin;
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
        Item* to = buffers[range.buffer].data() + range.begin;
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
  for (auto& buffer : buffers) std::vector<Item>().swap(buffer);

  bvh.slabs.resize(bvh.nodes.size());
  std::vector<float> areas(bvh.nodes.size());
  for (std::size_t i = bvh.nodes.size(); i-- > 0;) {  // children come after their parent
    if (bvh.nodes[i].leaf()) {
      fill_leaf(mesh, bvh.origin, bvh.nodes[i], bvh.slabs[i], areas[i]);
    } else {
      fill_inner(bvh.nodes, bvh.slabs, areas, i);
    }
  }
  return bvh;
}

}  // namespace bight::shape
