#include "view/draw_drawing.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "render/draw_annotations.h"
#include "view/fitted_text.h"

namespace bight::view {
namespace {

scene::Scheme scene_scheme(Scheme scheme) {
  return scheme == Scheme::dark ? scene::Scheme::dark : scene::Scheme::light;
}

ImU32 ink(scene::Paint paint, Scheme scheme, double opacity = 1.0) {
  return render::packed(
      scene::faded(scene::color(paint, scene_scheme(scheme)), static_cast<float>(opacity)));
}

void arrow(ImDrawList* list, ImVec2 tip, ImVec2 from, float size, ImU32 colour) {
  const float dx = tip.x - from.x;
  const float dy = tip.y - from.y;
  const float length = std::hypot(dx, dy);
  if (!(length > size * 2.5F)) return;
  const float ux = dx / length * size;
  const float uy = dy / length * size;
  list->AddTriangleFilled(tip, {tip.x - ux - uy * 0.4F, tip.y - uy + ux * 0.4F},
                          {tip.x - ux + uy * 0.4F, tip.y - uy - ux * 0.4F}, colour);
}

void draw_circle(ImDrawList* list, const picture::DrawnCircle& c, const DrawingFrame& frame,
                 Scheme scheme) {
  const ImVec2 centre = frame.window(c.centre);
  const float r = static_cast<float>(c.radius_mm) * frame.scale;
  if (c.fill_opacity > 0.0) list->AddCircleFilled(centre, r, ink(c.fill, scheme, c.fill_opacity));
  if (!(c.stroke_px > 0.0)) return;
  const ImU32 stroke = ink(c.stroke, scheme);
  const auto width = static_cast<float>(c.stroke_px);
  if (!c.dashed) {
    list->AddCircle(centre, r, stroke, 0, width);
    return;
  }
  constexpr float k_turn = 2.0F * std::numbers::pi_v<float>;
  const int dashes = std::clamp(static_cast<int>(r * 0.9F), 8, 60);
  for (int i = 0; i < dashes; ++i) {
    const float from = k_turn * static_cast<float>(i) / static_cast<float>(dashes);
    list->PathArcTo(centre, r, from, from + 0.5F * k_turn / static_cast<float>(dashes), 4);
    list->PathStroke(stroke, 0, width);
  }
}

}  // namespace

DrawingFrame fitted_frame(const picture::Drawing& drawing, ImVec2 corner, ImVec2 size,
                          float margin) {
  const Vec2 extent = drawing.upper - drawing.lower;
  const float width = std::max(1.0F, size.x - 2.0F * margin);
  const float height = std::max(1.0F, size.y - 2.0F * margin);
  DrawingFrame frame;
  if (!(extent.x > 0.0) || !(extent.y > 0.0)) return frame;
  frame.scale =
      std::min(width / static_cast<float>(extent.x), height / static_cast<float>(extent.y));
  const Vec2 middle = 0.5 * (drawing.lower + drawing.upper);
  frame.origin = {
      std::floor(corner.x + size.x * 0.5F - static_cast<float>(middle.x) * frame.scale),
      std::floor(corner.y + size.y * 0.5F + static_cast<float>(middle.y) * frame.scale)};
  return frame;
}

void draw_drawing(ImDrawList* list, const picture::Drawing& drawing, const DrawingFrame& frame,
                  Scheme scheme, const render::Fonts& fonts, float em, ImVec2 corner, ImVec2 size) {
  for (const picture::DrawnPolygon& polygon : drawing.polygons) {
    std::vector<ImVec2> points;
    for (const Vec2& p : polygon.points) points.push_back(frame.window(p));
    const int count = static_cast<int>(points.size());
    if (count < 3) continue;
    if (polygon.fill_opacity > 0.0) {
      list->AddConvexPolyFilled(points.data(), count,
                                ink(polygon.fill, scheme, polygon.fill_opacity));
    }
    if (polygon.stroke_px > 0.0) {
      list->AddPolyline(points.data(), count, ink(polygon.stroke, scheme), ImDrawFlags_Closed,
                        static_cast<float>(polygon.stroke_px));
    }
  }
  for (const picture::DrawnCircle& c : drawing.circles) draw_circle(list, c, frame, scheme);
  for (const picture::DrawnLine& line : drawing.lines) {
    const ImVec2 from = frame.window(line.from);
    const ImVec2 to = frame.window(line.to);
    const ImU32 stroke = ink(line.stroke, scheme);
    list->AddLine(from, to, stroke, static_cast<float>(line.width_px));
    if (line.arrows) {
      arrow(list, to, from, em * 0.45F, stroke);
      arrow(list, from, to, em * 0.45F, stroke);
    }
  }
  for (const picture::DrawnText& text : drawing.texts) {
    ImFont* font = text.size_px < 14.0 && fonts.small != nullptr ? fonts.small : fonts.text;
    ImGui::PushFont(font);
    const ImVec2 at = frame.window(text.at);
    const float sign = text.mark == scene::Mark::none ? 0.0F : em;
    const std::string shown = shortened(text.text, std::max(em, size.x - sign));
    const ImVec2 extent = ImGui::CalcTextSize(shown.c_str());
    const float whole = extent.x + sign;
    const float align = text.align == picture::TextAlign::left     ? 0.0F
                        : text.align == picture::TextAlign::centre ? 0.5F
                                                                   : 1.0F;
    // In a small drawing what stands beside a dimension keeps clear of its arrows.
    const float aside = text.align == picture::TextAlign::left ? em * 0.3F : 0.0F;
    const float left = std::floor(std::clamp(at.x + aside - whole * align, corner.x,
                                             std::max(corner.x, corner.x + size.x - whole)));
    if (text.mark != scene::Mark::none) {
      render::draw_sign(*list, {static_cast<double>(left + em * 0.4F), static_cast<double>(at.y)},
                        static_cast<double>(em * 0.36F), text.mark, scene_scheme(scheme));
    }
    list->AddText({left + sign, std::floor(at.y - extent.y * 0.5F)}, ink(text.paint, scheme),
                  shown.c_str());
    ImGui::PopFont();
  }
}

}  // namespace bight::view
