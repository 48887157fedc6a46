#include "shape/inside.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>
#include <vector>

#include "shape/simplex.h"

namespace bight::shape {

namespace {

/// Ray directions to try: without symmetry, so that modelled edges and faces are hardly ever
/// parallel to them.
constexpr std::array<std::array<double, 3>, 6> k_directions{{{0.41361, 0.31873, 0.85287},
                                                             {-0.72317, 0.59119, 0.35742},
                                                             {0.27691, -0.88137, 0.38287},
                                                             {-0.33391, -0.47319, -0.81523},
                                                             {0.91127, 0.17413, -0.37321},
                                                             {-0.11937, 0.71153, -0.69247}}};

std::array<Vec3, 3> corners_from(const Mesh& mesh, std::uint32_t triangle, const Vec3& point) {
  const auto& t = mesh.triangles[triangle];
  return {mesh.vertices[t[0]] - point, mesh.vertices[t[1]] - point, mesh.vertices[t[2]] - point};
}

/// Crossing of the ray from the origin along d with a triangle: +1 leaving through its outer side,
/// -1 entering, 0 none; nothing when an edge, a corner or the plane is too near to tell.
///
/// d.(p x q) tells on which side of the edge pq the line passes; its rounding error is below 16
/// units of |d| |p| |q|.
std::optional<int> crossing(const std::array<Vec3, 3>& p, const Vec3& d) {
  const double unit = 0x1p-49;
  const std::array<Vec3, 3> cross{glm::cross(p[1], p[2]), glm::cross(p[2], p[0]),
                                  glm::cross(p[0], p[1])};
  const std::array<double, 3> length{glm::length(p[0]), glm::length(p[1]), glm::length(p[2])};
  int positive = 0;
  int negative = 0;
  bool near = false;
  for (std::size_t i = 0; i < 3; ++i) {
    const double side = glm::dot(d, cross[i]);
    const double error = unit * length[(i + 1) % 3] * length[(i + 2) % 3];
    near = near || !(std::fabs(side) > error);
    positive += side > error ? 1 : 0;
    negative += side < -error ? 1 : 0;
  }
  if (positive > 0 && negative > 0) return 0;  // passes outside, whatever the unclear sides say
  if (near) return std::nullopt;
  const double volume = glm::dot(p[0], cross[0]);
  if (!(std::fabs(volume) > unit * length[0] * length[1] * length[2])) return std::nullopt;
  const bool ahead = (volume > 0.0) == (positive > 0);
  if (!ahead) return 0;
  return positive > 0 ? 1 : -1;
}

/// True unless the ray from `from` along d certainly misses the node's box.
bool may_hit(const BvhNode& node, const Vec3& from, const Vec3& d) {
  double enter = 0.0;
  double leave = std::numeric_limits<double>::infinity();
  for (int k = 0; k < 3; ++k) {
    const double middle = static_cast<double>(node.center[k]) - from[k];
    const double half =
        static_cast<double>(node.half[k]) + 0x1p-40 * (std::fabs(middle) + std::fabs(from[k]));
    const double a = (middle - half) / d[k];
    const double b = (middle + half) / d[k];
    enter = std::max(enter, std::min(a, b));
    leave = std::min(leave, std::max(a, b));
  }
  return enter <= leave * (1.0 + 0x1p-40);
}

/// Winding number by crossings of one ray; nothing when a crossing could not be told.
std::optional<int> winding_by_ray(const Solid& solid, const Vec3& point, const Vec3& d) {
  const Bvh& bvh = solid.bvh;
  const Vec3 from = point - bvh.origin;
  std::array<std::uint32_t, Bvh::k_max_depth + 2> stack{};
  std::size_t depth = 0;
  stack[depth++] = 0;
  int winding = 0;
  while (depth > 0) {
    const BvhNode& node = bvh.nodes[stack[--depth]];
    if (!may_hit(node, from, d)) continue;
    if (!node.leaf()) {
      stack[depth++] = node.child() + 1;
      stack[depth++] = node.child();
      continue;
    }
    const auto c = crossing(corners_from(solid.mesh, node.triangle(), point), d);
    if (!c) return std::nullopt;
    winding += *c;
  }
  return winding;
}

bool in_root_box(const Bvh& bvh, const Vec3& point) {
  const BvhNode& root = bvh.nodes[0];
  for (int k = 0; k < 3; ++k) {
    const double from_middle = point[k] - bvh.origin[k] - static_cast<double>(root.center[k]);
    if (!(std::fabs(from_middle) <= static_cast<double>(root.half[k]))) return false;
  }
  return true;
}

double squared_distance(const BvhNode& node, const Vec3& from) {
  double squared = 0.0;
  for (int k = 0; k < 3; ++k) {
    const double gap = std::fabs(static_cast<double>(node.center[k]) - from[k]) -
                       static_cast<double>(node.half[k]);
    if (gap > 0.0) squared += gap * gap;
  }
  return squared;
}

}  // namespace

double winding_number(const Mesh& mesh, const Vec3& point) {
  double half_angles = 0.0;
  for (std::uint32_t i = 0; i < mesh.triangles.size(); ++i) {
    const std::array<Vec3, 3> p = corners_from(mesh, i, point);
    const double a = glm::length(p[0]);
    const double b = glm::length(p[1]);
    const double c = glm::length(p[2]);
    const double volume = glm::dot(p[0], glm::cross(p[1], p[2]));
    const double projection =
        a * b * c + glm::dot(p[0], p[1]) * c + glm::dot(p[1], p[2]) * a + glm::dot(p[2], p[0]) * b;
    half_angles += std::atan2(volume, projection);
  }
  return half_angles / (2.0 * std::numbers::pi);
}

bool is_inside(const Solid& solid, const Vec3& point) {
  if (!solid.closed || solid.bvh.empty() || !in_root_box(solid.bvh, point)) return false;
  for (const auto& d : k_directions) {
    if (const auto winding = winding_by_ray(solid, point, Vec3(d[0], d[1], d[2]))) {
      return *winding != 0;
    }
  }
  return std::fabs(winding_number(solid.mesh, point)) > 0.5;
}

double distance_to_surface(const Solid& solid, const Vec3& point) {
  return distance_to_surface(solid, point, std::numeric_limits<double>::infinity());
}

double distance_to_surface(const Solid& solid, const Vec3& point, double cap) {
  const Bvh& bvh = solid.bvh;
  if (bvh.empty()) return std::numeric_limits<double>::infinity();
  const Vec3 from = point - bvh.origin;
  double best = cap * cap;
  struct Entry {
    std::uint32_t node;
    double squared;
  };
  std::array<Entry, Bvh::k_max_depth + 2> stack{};
  std::size_t depth = 0;
  stack[depth++] = {0, squared_distance(bvh.nodes[0], from)};
  while (depth > 0) {
    const Entry entry = stack[--depth];
    if (!(entry.squared < best)) continue;
    const BvhNode& node = bvh.nodes[entry.node];
    if (node.leaf()) {
      const std::array<Vec3, 3> p = corners_from(solid.mesh, node.triangle(), point);
      const std::array<double, 4> w = nearest_to_origin(p);
      const Vec3 nearest = w[0] * p[0] + w[1] * p[1] + w[2] * p[2];
      best = std::min(best, glm::dot(nearest, nearest));
      continue;
    }
    Entry near{node.child(), squared_distance(bvh.nodes[node.child()], from)};
    Entry far{node.child() + 1, squared_distance(bvh.nodes[node.child() + 1], from)};
    if (far.squared < near.squared) std::swap(near, far);
    stack[depth++] = far;
    stack[depth++] = near;
  }
  return std::min(cap, std::sqrt(best));
}

}  // namespace bight::shape
