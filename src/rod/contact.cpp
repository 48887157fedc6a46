#include "rod/contact.h"

#include <algorithm>

namespace bight::rod {
namespace {

/// Distance to a point, line or plane of which `away` points from the nearest point to ours; `flat`
/// projects onto the directions in which that feature does not extend.
Distance from_feature(const Vec3& away, const Mat3& flat, double less) {
  const double d = glm::length(away);
  Distance r;
  r.value_mm = d - less;
  if (!(d > 0.0)) return r;  // on the feature itself any normal is as good: up
  r.normal = away / d;
  r.curvature = (flat - glm::outerProduct(r.normal, r.normal)) / d;
  return r;
}

Distance distance(const Floor& floor, const Vec3& p) {
  return {p.z - floor.z_mm, Vec3(0.0, 0.0, 1.0), Mat3(0.0)};
}

Distance distance(const HalfSpace& half, const Vec3& p) {
  return {glm::dot(p - half.point, half.normal), half.normal, Mat3(0.0)};
}

Distance distance(const std::shared_ptr<const ContactSurface>& surface, const Vec3& p) {
  return surface->distance_to(p);
}

Distance distance(const SolidBox& solid, const Vec3& p) {
  const Vec3 nearest = glm::clamp(p, solid.box.lower, solid.box.upper);
  if (nearest != p) {
    Mat3 flat(0.0);
    for (int i = 0; i < 3; ++i) flat[i][i] = nearest[i] == p[i] ? 0.0 : 1.0;
    return from_feature(p - nearest, flat, 0.0);
  }
  Distance r;
  int axis = 0;
  double depth = p.x - solid.box.lower.x;
  double sign = -1.0;
  for (int i = 0; i < 3; ++i) {
    for (const double side : {-1.0, 1.0}) {
      const double d = side < 0.0 ? p[i] - solid.box.lower[i] : solid.box.upper[i] - p[i];
      if (d < depth) {
        depth = d;
        axis = i;
        sign = side;
      }
    }
  }
  r.value_mm = -depth;
  r.normal = Vec3(0.0);
  r.normal[axis] = sign;
  return r;
}

Distance distance(const Capsule& c, const Vec3& p) {
  const Vec3 along = c.b - c.a;
  const double square = glm::dot(along, along);
  const double t = square > 0.0 ? glm::dot(p - c.a, along) / square : 0.0;
  Mat3 flat(1.0);
  if (t > 0.0 && t < 1.0) flat -= glm::outerProduct(along, along) / square;
  return from_feature(p - (c.a + std::clamp(t, 0.0, 1.0) * along), flat, c.radius_mm);
}

}  // namespace

Distance distance_to(const Obstacle& obstacle, const Vec3& point) {
  return std::visit([&](const auto& o) { return distance(o, point); }, obstacle);
}

}  // namespace bight::rod
