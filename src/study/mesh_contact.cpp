#include "study/mesh_contact.h"

#include <array>
#include <cmath>
#include <limits>
#include <utility>

#include "base/check.h"
#include "shape/inside.h"
#include "shape/simplex.h"

namespace bight::study {
namespace {

using shape::Bvh;
using shape::BvhNode;

/// Nearest point of the surface, relative to the point asked for, and the triangle's corners too.
struct Nearest {
  Vec3 offset{0.0};
  std::array<Vec3, 3> corners{};
  std::array<double, 4> weights{};
};

double squared_distance(const BvhNode& node, const Vec3& from) {
  double squared = 0.0;
  for (int k = 0; k < 3; ++k) {
    const double gap = std::fabs(static_cast<double>(node.center[k]) - from[k]) -
                       static_cast<double>(node.half[k]);
    if (gap > 0.0) squared += gap * gap;
  }
  return squared;
}

Nearest nearest_on(const shape::Solid& solid, const Vec3& point) {
  const Bvh& bvh = solid.bvh;
  const Vec3 from = point - bvh.origin;
  Nearest best;
  double best_squared = std::numeric_limits<double>::infinity();
  std::array<std::pair<std::uint32_t, double>, Bvh::k_max_depth + 2> stack{};
  std::size_t depth = 0;
  stack[depth++] = {0, 0.0};
  while (depth > 0) {
    const auto [index, squared] = stack[--depth];
    if (!(squared < best_squared)) continue;
    const BvhNode& node = bvh.nodes[index];
    if (!node.leaf()) {
      std::pair near{node.child(), squared_distance(bvh.nodes[node.child()], from)};
      std::pair far{node.child() + 1, squared_distance(bvh.nodes[node.child() + 1], from)};
      if (far.second < near.second) std::swap(near, far);
      stack[depth++] = far;
      stack[depth++] = near;
      continue;
    }
    Nearest here;
    const auto& triangle = solid.mesh.triangles[node.triangle()];
    for (std::size_t k = 0; k < 3; ++k) {
      here.corners[k] = solid.mesh.vertices[triangle[k]] - point;
    }
    here.weights = shape::nearest_to_origin(here.corners);
    for (std::size_t k = 0; k < 3; ++k) here.offset += here.weights[k] * here.corners[k];
    const double distance = glm::dot(here.offset, here.offset);
    if (distance < best_squared) {
      best_squared = distance;
      best = here;
    }
  }
  return best;
}

/// Projection onto the directions in which the feature that holds the nearest point does not
/// extend.
Mat3 across_feature(const Nearest& nearest) {
  Mat3 across(1.0);
  std::array<Vec3, 3> on{};
  std::size_t count = 0;
  for (std::size_t k = 0; k < 3; ++k) {
    if (nearest.weights[k] > 0.0) on[count++] = nearest.corners[k];
  }
  if (count == 2) {
    const Vec3 along = on[1] - on[0];
    across -= glm::outerProduct(along, along) / glm::dot(along, along);
  }
  if (count == 3) across = Mat3(0.0);
  return across;
}

class MeshSurface : public rod::ContactSurface {
 public:
  explicit MeshSurface(std::shared_ptr<const shape::Solid> solid) : solid_(std::move(solid)) {}

  rod::Distance distance_to(const Vec3& point) const override {
    const Nearest nearest = nearest_on(*solid_, point);
    const double away = glm::length(nearest.offset);
    const bool inside = shape::is_inside(*solid_, point);
    rod::Distance d;
    d.value_mm = inside ? -away : away;
    constexpr double k_on_surface_mm = 1e-9;  // below, the offset's direction is rounding
    if (!(away > k_on_surface_mm)) {
      const auto& c = nearest.corners;
      const Vec3 normal = glm::cross(c[1] - c[0], c[2] - c[0]);
      if (glm::length(normal) > 0.0) d.normal = glm::normalize(normal);
      return d;
    }
    d.normal = (inside ? 1.0 : -1.0) / away * nearest.offset;
    const Mat3 across = across_feature(nearest);
    if (across == Mat3(0.0)) return d;
    d.curvature = (across - glm::outerProduct(d.normal, d.normal)) / d.value_mm;
    return d;
  }

 private:
  std::shared_ptr<const shape::Solid> solid_;
};

}  // namespace

std::shared_ptr<const rod::ContactSurface> mesh_surface(std::shared_ptr<const shape::Solid> solid) {
  const bool usable = solid != nullptr && !solid->bvh.empty();
  BIGHT_CHECK(usable);
  return std::make_shared<MeshSurface>(std::move(solid));
}

}  // namespace bight::study
