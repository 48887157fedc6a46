#pragma once
// A flat drawing of picture/drawing.h into an ImGui draw list, to scale.

#include <imgui.h>

#include "picture/drawing.h"
#include "render/fonts.h"
#include "view/theme.h"

namespace bight::view {

/// From mm of the drawing (y up) to the window (y down).
struct DrawingFrame {
  ImVec2 origin;       ///< where (0, 0) of the drawing lies
  float scale = 1.0F;  ///< pixels per mm
  ImVec2 window(const Vec2& mm) const {
    return {origin.x + static_cast<float>(mm.x) * scale,
            origin.y - static_cast<float>(mm.y) * scale};
  }
  Vec2 drawing(ImVec2 at) const {
    return {static_cast<double>((at.x - origin.x) / scale),
            static_cast<double>((origin.y - at.y) / scale)};
  }
};

/// The largest scale at which the drawing's extent fits, with `margin` pixels around it.
DrawingFrame fitted_frame(const picture::Drawing& drawing, ImVec2 corner, ImVec2 size,
                          float margin);

/// Texts keep within `corner`, `size`.
void draw_drawing(ImDrawList* list, const picture::Drawing& drawing, const DrawingFrame& frame,
                  Scheme scheme, const render::Fonts& fonts, float em, ImVec2 corner, ImVec2 size);

}  // namespace bight::view
