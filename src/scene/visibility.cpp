#include "scene/visibility.h"

#include <algorithm>

namespace bight::scene {

bool is_shown(const Solid& solid, const CameraFrame& frame, const Camera& camera) {
  if (!solid.inward) return true;
  if (camera.straight) return glm::dot(frame.forward, *solid.inward) < -1e-3;
  // From inside: the eye is on the inner side of the wall's middle.
  const Vec3 middle = solid.box().center();
  return glm::dot(frame.eye - middle, *solid.inward) > 0.0;
}

bool is_cut_away(const Scene& scene, const Vec3& point) {
  return scene.section && glm::dot(scene.section->normal, point - scene.section->point) > 0.0;
}

Box kept_of(const Scene& scene, Box box) {
  if (!scene.section) return box;
  constexpr double k_along = 0.9999;
  const Section& section = *scene.section;
  for (int i = 0; i < 3; ++i) {
    if (section.normal[i] > k_along) box.upper[i] = std::min(box.upper[i], section.point[i]);
    if (section.normal[i] < -k_along) box.lower[i] = std::max(box.lower[i], section.point[i]);
  }
  return box;
}

}  // namespace bight::scene
