#include "view/shown_handles.h"

#include <optional>

#include "scene/visibility.h"

namespace bight::view {
namespace {

using editor::Handle;
using editor::HandleKind;

/// Of the chosen thing's handles (a chain has one at each end) that which was taken last, else the
/// first: the arms of two would lie on each other.
std::string armed_handle(const std::vector<Handle>& all, const HandleChoice& choice) {
  std::string armed;
  for (const Handle& handle : all) {
    if (handle.thing != choice.selected) continue;
    if (armed.empty() || handle.id == choice.armed) armed = handle.id;
  }
  return armed;
}

/// Middle of what is drawn of a part; nothing when none of it is.
std::optional<Vec3> middle_of_part(const std::string& name, const scene::Scene& scene,
                                   const scene::Camera& camera) {
  const scene::CameraFrame frame = scene::frame_of(camera);
  for (const scene::Solid& solid : scene.solids) {
    const scene::Thing* thing = scene.thing_of(solid.id);
    const bool is_it =
        thing != nullptr && thing->kind == scene::ThingKind::part && thing->name == name;
    if (is_it && scene::is_shown(solid, frame, camera)) return solid.box().center();
  }
  return {};
}

/// Where the handle stands; nothing when its thing is not drawn.
std::optional<Vec3> place_of(const Handle& handle, const HandleChoice& choice,
                             const scene::Scene& scene, const scene::Camera& camera) {
  if (!handle.in_use || choice.hidden.contains(handle.thing)) return {};
  if (handle.kind != HandleKind::part) return handle.at;
  return handle.thing == choice.selected ? middle_of_part(handle.thing, scene, camera)
                                         : std::nullopt;
}

std::vector<ShownArm> arms_of(const ShownHandle& shown, const scene::Camera& camera,
                              const scene::Viewport& viewport, double depth_mm,
                              const scene::Rect& area, double em_px) {
  constexpr double k_least_em = 1.2;  // seen end on, an arm has no length to pull at
  const double mm = k_arm_em * em_px * scene::mm_per_pixel(camera, viewport, depth_mm);
  std::vector<ShownArm> arms;
  for (const Vec3& direction : shown.handle.directions) {
    // Where the arm would leave the picture it points the other way.
    for (const double sense : {1.0, -1.0}) {
      const auto tip = scene::project(camera, viewport, shown.held + sense * mm * direction);
      if (!tip || !area.contains(tip->pixel)) continue;
      if (glm::length(tip->pixel - shown.pixel) >= k_least_em * em_px) {
        arms.push_back({direction, tip->pixel});
      }
      break;
    }
  }
  return arms;
}

}  // namespace

std::vector<ShownHandle> shown_handles(const std::vector<Handle>& all, const HandleChoice& choice,
                                       const scene::Scene& scene, const scene::Camera& camera,
                                       const scene::Viewport& viewport, const scene::Rect& area,
                                       double em_px) {
  const Vec2 room(k_handle_em * em_px);
  const scene::Rect inner{area.lower + room, area.upper - room};
  const std::string armed = armed_handle(all, choice);
  std::vector<ShownHandle> shown;
  for (const Handle& handle : all) {
    const auto held = place_of(handle, choice, scene, camera);
    if (!held || scene::is_cut_away(scene, *held)) continue;
    const auto at = scene::project(camera, viewport, *held);
    if (!at || !inner.contains(at->pixel)) continue;
    ShownHandle one{handle, *held, at->pixel, handle.thing == choice.selected, {}};
    if (handle.id == armed) {
      one.arms = arms_of(one, camera, viewport, at->depth_mm, inner, em_px);
    }
    shown.push_back(std::move(one));
  }
  return shown;
}

std::vector<scene::Rect> rooms_of(const std::vector<ShownHandle>& handles, double em_px) {
  const Vec2 half(k_handle_em * em_px);
  std::vector<scene::Rect> rooms;
  const auto keep = [&](const Vec2& middle) { rooms.push_back({middle - half, middle + half}); };
  for (const ShownHandle& one : handles) {
    keep(one.pixel);
    for (const ShownArm& arm : one.arms) {
      constexpr int k_pieces = 3;  // squares along the arm; the last one is the grip
      for (int i = 1; i <= k_pieces; ++i) {
        keep(glm::mix(one.pixel, arm.grip, static_cast<double>(i) / k_pieces));
      }
    }
  }
  return rooms;
}

}  // namespace bight::view
