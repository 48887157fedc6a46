#include "scene/scene.h"

#include <algorithm>

namespace bight::scene {
namespace {

Box box_of_points(const std::vector<Vec3>& points, double margin) {
  Box box;
  for (const Vec3& p : points) box.extend(p);
  return box.empty() ? box : grown(box, margin);
}

/// Of the balls around the copies: never too small.
Box box_of(const Instances& instances) {
  double reach = 0.0;
  for (const Vec3& v : instances.mesh->vertices) reach = std::max(reach, glm::length(v));
  Box box;
  for (const Placement& place : instances.places) box.extend(place.origin);
  return box.empty() ? box : grown(box, reach);
}

}  // namespace

Id Scene::id_of(const Thing& thing) {
  const auto it = std::find(things.begin(), things.end(), thing);
  if (it != things.end()) return static_cast<Id>(it - things.begin()) + 1;
  things.push_back(thing);
  return static_cast<Id>(things.size());
}

const Thing* Scene::thing_of(Id id) const {
  return id == 0 || id > things.size() ? nullptr : &things[id - 1];
}

Box box_of(const Scene& scene, Id id) {
  Box box;
  if (id == 0) return box;
  for (const Solid& solid : scene.solids) {
    if (solid.id == id) box.extend(solid.box());
  }
  for (const Instances& instances : scene.instances) {
    if (instances.id == id) box.extend(box_of(instances));
  }
  for (const Tube& tube : scene.tubes) {
    if (tube.id == id) box.extend(box_of_points(tube.points, tube.radius_mm));
  }
  for (const Stroke& stroke : scene.strokes) {
    if (stroke.id == id) box.extend(box_of_points(stroke.points, 0.0));
  }
  for (const BoxCloud& cloud : scene.clouds) {
    if (cloud.id != id) continue;
    for (const Box& one : cloud.boxes) box.extend(one);
  }
  for (const Sign& sign : scene.signs) {
    if (sign.id == id) box.extend(sign.at);
  }
  return box;
}

Box drawn_box(const Scene& scene) {
  Box box;
  for (const Solid& solid : scene.solids) box.extend(solid.box());
  for (const Instances& instances : scene.instances) box.extend(box_of(instances));
  for (const Tube& tube : scene.tubes) box.extend(box_of_points(tube.points, tube.radius_mm));
  return box;
}

}  // namespace bight::scene
