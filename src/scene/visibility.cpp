#include "scene/visibility.h"

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

}  // namespace bight::scene
