#include "view/handle_drag.h"

#include <cmath>

#include "base/units.h"

namespace bight::view {
namespace {

/// Sine of the angle under which a plane is still seen well enough to drag on it.
constexpr double k_edge_on = 0.2;

std::optional<Vec3> meet_plane(const scene::Ray& ray, const Vec3& point, const Vec3& normal) {
  const double slope = glm::dot(ray.direction, normal);
  if (!(std::abs(slope) > 1e-6)) return {};
  const double s = glm::dot(point - ray.origin, normal) / slope;
  if (!(s > 0.0)) return {};
  return ray.origin + s * ray.direction;
}

Vec3 best_normal(const scene::Camera& camera, const std::vector<Vec3>& directions) {
  if (directions.size() == 2) {
    const Vec3 n = glm::cross(directions[0], directions[1]);
    const double length = glm::length(n);
    if (length > 1e-9) return n / length;
  }
  const Vec3 forward = scene::frame_of(camera).forward;
  const Vec3 up{0.0, 0.0, 1.0};
  if (std::abs(forward.z) > k_edge_on) return up;
  return std::abs(forward.x) > std::abs(forward.y) ? Vec3(1.0, 0.0, 0.0) : Vec3(0.0, 1.0, 0.0);
}

void readout(const PanelContext& context, const editor::Handle& handle,
             const editor::SnappedPlace& place) {
  std::string text = handle.thing + " at " + point_text(place.at, context.unit());
  for (const std::string& caught : place.caught) {
    if (!caught.empty() && caught != "grid") text += "\nlevel with " + caught;
  }
  if (const auto& live = context.editor.live()) {
    for (const study::FreeRunFigures& run : live->free_runs) {
      if (run.from != handle.thing && run.to != handle.thing) continue;
      text += "\n" + run.run + ": " + window_words(run, context.unit());
    }
  }
  ImGui::SetTooltip("%s", text.c_str());
}

}  // namespace

std::string window_words(const study::FreeRunFigures& run, LengthUnit unit) {
  if (!(run.min_mm <= run.max_mm)) return "no length works";
  std::string text = "from " + length_text(run.min_mm, unit, 0);
  if (std::isfinite(run.max_mm)) text += " to " + length_text(run.max_mm, unit, 0);
  if (!run.length_given) return text;
  text += "; " + length_text(run.length_mm, unit, 0);
  return text + (run.length_mm < run.min_mm   ? " is too short"
                 : run.length_mm > run.max_mm ? " is too long"
                                              : " fits");
}

std::optional<Vec3> wanted_place(const scene::Camera& camera, const scene::Viewport& viewport,
                                 const Vec2& pixel, const ShownHandle& shown,
                                 const std::optional<Vec3>& along) {
  const scene::Ray ray = scene::ray_through(camera, viewport, pixel);
  const std::vector<Vec3>& directions = shown.handle.directions;
  if (along || directions.size() == 1) {
    const Vec3 direction = along ? *along : directions.front();
    const double s = scene::along_line(ray, shown.held, direction);
    if (!std::isfinite(s)) return {};
    return shown.held + s * direction;
  }
  const auto met = meet_plane(ray, shown.held, best_normal(camera, directions));
  return met && is_finite(*met) ? met : std::nullopt;
}

void drag_handle(const PanelContext& context, const scene::Camera& camera,
                 const scene::Viewport& viewport, const Vec2& pixel, const ShownHandle& shown,
                 const std::optional<Vec3>& along) {
  const editor::Handle& handle = shown.handle;
  editor::Editor& editor = context.editor;
  const ImGuiIO& io = ImGui::GetIO();
  if (ImGui::IsItemActivated()) {
    editor.select_thing(handle.thing);
    context.state.armed = handle.id;
    const auto at = wanted_place(camera, viewport, pixel, shown, along);
    context.state.grabbed = at ? *at - handle.at : Vec3(0.0);
    context.report(editor.begin_drag(handle.id));
  }
  if (ImGui::IsItemActive() && editor.dragging() && io.MouseDragMaxDistanceSqr[0] > 9.0F) {
    if (const auto wanted = wanted_place(camera, viewport, pixel, shown, along)) {
      const double step = io.KeyAlt ? 0.0 : editor.settings().snap_mm;
      readout(context, handle,
              editor.drag_to(*wanted - context.state.grabbed, along,
                             {.step_mm = step, .to_things = !io.KeyAlt}));
    }
  }
  if (ImGui::IsItemDeactivated() && editor.dragging()) {
    if (io.MouseDragMaxDistanceSqr[0] > 9.0F) {
      context.report(editor.end_drag());
    } else {
      editor.cancel_drag();
    }
  }
}

}  // namespace bight::view
