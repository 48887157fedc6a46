#include "render/draw_annotations.h"

#include <imgui.h>

#include <array>
#include <cmath>

namespace bight::render {
namespace {

ImFont* font_of(const Fonts& fonts, scene::TextRole role) {
  switch (role) {
    case scene::TextRole::small:
      return fonts.small;
    case scene::TextRole::strong:
      return fonts.strong;
    case scene::TextRole::text:
      break;
  }
  return fonts.text;
}

ImVec2 to_im(const Vec2& v) {
  return {static_cast<float>(v.x), static_cast<float>(v.y)};
}

}  // namespace

unsigned packed(const scene::Color& c) {
  return ImGui::ColorConvertFloat4ToU32({c.r, c.g, c.b, c.a});
}

scene::MeasureText text_measure(const Fonts& fonts) {
  return [fonts](const std::string& text, scene::TextRole role) {
    const ImFont* font = font_of(fonts, role);
    const ImVec2 size =
        font->CalcTextSizeA(font->FontSize, 1e9F, 0.0F, text.data(), text.data() + text.size());
    return Vec2(std::ceil(size.x), std::ceil(size.y));
  };
}

void draw_sign(ImDrawList& list, const Vec2& middle, double radius_px, scene::Mark mark,
               scene::Scheme scheme) {
  if (mark == scene::Mark::none) return;
  const ImU32 fill = packed(scene::color(paint_of(mark), scheme));
  scene::Color plate = scene::color(scene::Paint::halo, scheme);
  plate.a = 1.0F;
  const ImU32 rim = packed(plate);
  const auto m = to_im(middle);
  const auto r = static_cast<float>(radius_px);
  constexpr float k_rim = 1.5F;
  const auto stroke = std::max(1.5F, 0.22F * r);
  switch (mark) {
    case scene::Mark::stop: {
      // A square on its corner with a bar.
      const std::array<ImVec2, 4> outer{{{m.x, m.y - r - k_rim},
                                         {m.x + r + k_rim, m.y},
                                         {m.x, m.y + r + k_rim},
                                         {m.x - r - k_rim, m.y}}};
      const std::array<ImVec2, 4> inner{
          {{m.x, m.y - r}, {m.x + r, m.y}, {m.x, m.y + r}, {m.x - r, m.y}}};
      list.AddConvexPolyFilled(outer.data(), 4, rim);
      list.AddConvexPolyFilled(inner.data(), 4, fill);
      list.AddLine({m.x - 0.42F * r, m.y}, {m.x + 0.42F * r, m.y}, rim, stroke);
      break;
    }
    case scene::Mark::act: {
      const float top = m.y - r;
      const float base = m.y + 0.75F * r;
      list.AddTriangleFilled({m.x, top - 2.0F * k_rim}, {m.x + r + 1.7F * k_rim, base + k_rim},
                             {m.x - r - 1.7F * k_rim, base + k_rim}, rim);
      list.AddTriangleFilled({m.x, top}, {m.x + r, base}, {m.x - r, base}, fill);
      list.AddLine({m.x, m.y - 0.35F * r}, {m.x, m.y + 0.22F * r}, rim, stroke);
      list.AddCircleFilled({m.x, m.y + 0.48F * r}, 0.5F * stroke, rim);
      break;
    }
    case scene::Mark::note:
      list.AddCircleFilled(m, 0.9F * r + k_rim, rim);
      list.AddCircleFilled(m, 0.9F * r, fill);
      list.AddCircleFilled({m.x, m.y - 0.42F * r}, 0.5F * stroke, rim);
      list.AddLine({m.x, m.y - 0.10F * r}, {m.x, m.y + 0.50F * r}, rim, stroke);
      break;
    case scene::Mark::clear:
      list.AddCircleFilled(m, 0.9F * r + k_rim, rim);
      list.AddCircle(m, 0.8F * r, fill, 0, stroke);
      break;
    case scene::Mark::none:
      break;
  }
}

void draw_annotations(ImDrawList& list, const scene::Annotations& annotations, const Fonts& fonts,
                      scene::Scheme scheme, const Vec2& offset) {
  std::vector<ImVec2> points;
  for (const scene::PlacedPolygon& polygon : annotations.polygons) {
    points.clear();
    for (const Vec2& p : polygon.points) points.push_back(to_im(p + offset));
    list.AddConvexPolyFilled(points.data(), static_cast<int>(points.size()), packed(polygon.fill));
  }
  for (const scene::PlacedLine& line : annotations.lines) {
    const auto opacity = static_cast<float>(line.opacity);
    // The same line wider and paler below it, so that it reads on dark and light parts.
    list.AddLine(to_im(line.from + offset), to_im(line.to + offset),
                 packed(scene::faded(scene::color(scene::Paint::halo, scheme), 0.6F * opacity)),
                 static_cast<float>(line.width_px + 2.0));
    list.AddLine(to_im(line.from + offset), to_im(line.to + offset),
                 packed(scene::faded(scene::color(line.paint, scheme), opacity)),
                 static_cast<float>(line.width_px));
  }
  const ImU32 plate = packed(scene::color(scene::Paint::halo, scheme));
  constexpr float k_pad = 2.0F;
  constexpr float k_round = 2.0F;
  for (const scene::PlacedText& text : annotations.texts) {
    const ImVec2 at = to_im(text.corner + offset);
    if (text.halo) {
      const ImVec2 end = to_im(text.corner + text.size + offset);
      list.AddRectFilled({at.x - k_pad, at.y - 1.0F}, {end.x + k_pad, end.y + 1.0F}, plate,
                         k_round);
    }
    const ImFont* font = font_of(fonts, text.role);
    list.AddText(font, font->FontSize, at, packed(scene::color(text.paint, scheme)),
                 text.text.data(), text.text.data() + text.text.size());
  }
  for (const scene::PlacedSign& sign : annotations.signs) {
    draw_sign(list, sign.at + offset, sign.radius_px, sign.mark, scheme);
  }
}

}  // namespace bight::render
