#pragma once
// From the pointer on the picture to a place in the machine: drags the handle whose item was drawn
// last.

#include <optional>
#include <string>

#include "scene/camera.h"
#include "view/panel_context.h"
#include "view/shown_handles.h"

namespace bight::view {

/// Where a pointer wants what it holds to be: on the line through it, or on the plane of its
/// directions that the camera sees best (level, unless that is seen edge on). Nothing when the ray
/// misses.
std::optional<Vec3> wanted_place(const scene::Camera& camera, const scene::Viewport& viewport,
                                 const Vec2& pixel, const ShownHandle& shown,
                                 const std::optional<Vec3>& along);

/// The window of a run's length, and whether the length that the plan sets lies in it.
std::string window_words(const study::FreeRunFigures& run, LengthUnit unit);

/// Starts, follows and ends the drag of the last item. `along`: only in this direction.
void drag_handle(const PanelContext& context, const scene::Camera& camera,
                 const scene::Viewport& viewport, const Vec2& pixel, const ShownHandle& shown,
                 const std::optional<Vec3>& along);

}  // namespace bight::view
