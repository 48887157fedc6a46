#include "view/severity_mark.h"

#include <cmath>
#include <numbers>

namespace bight::view {

void draw_mark(ImDrawList* draw, const Palette& palette, ImVec2 c, float r,
               study::Severity severity) {
  const ImU32 fill = colour_of(palette, severity);
  switch (severity) {
    case study::Severity::stop: {
      const float a = r * 1.12F;
      draw->AddQuadFilled({c.x, c.y - a}, {c.x + a, c.y}, {c.x, c.y + a}, {c.x - a, c.y}, fill);
      draw->AddRectFilled({c.x - a * 0.5F, c.y - a * 0.15F}, {c.x + a * 0.5F, c.y + a * 0.15F},
                          palette.on_mark);
      return;
    }
    case study::Severity::act: {
      const float h = r * 0.95F;
      draw->AddTriangleFilled({c.x, c.y - h}, {c.x + h * 1.08F, c.y + h * 0.85F},
                              {c.x - h * 1.08F, c.y + h * 0.85F}, fill);
      draw->AddRectFilled({c.x - r * 0.11F, c.y - h * 0.35F}, {c.x + r * 0.11F, c.y + h * 0.25F},
                          palette.on_mark);
      draw->AddCircleFilled({c.x, c.y + h * 0.53F}, r * 0.14F, palette.on_mark, 8);
      return;
    }
    case study::Severity::note:
      draw->AddCircle(c, r * 0.8F, fill, 20, std::fmax(1.2F, r * 0.2F));
      draw->AddCircleFilled(c, r * 0.25F, fill, 12);
      return;
  }
}

void draw_mark(ImDrawList* draw, const Palette& palette, ImVec2 c, float r,
               study::Verdict verdict) {
  if (verdict == study::Verdict::stop) return draw_mark(draw, palette, c, r, study::Severity::stop);
  if (verdict == study::Verdict::act) return draw_mark(draw, palette, c, r, study::Severity::act);
  draw->AddCircle(c, r * 0.78F, palette.clear, 24, std::fmax(1.6F, r * 0.3F));
}

void draw_pending_mark(ImDrawList* draw, const Palette& palette, ImVec2 c, float r) {
  constexpr int k_dashes = 6;
  constexpr float k_turn = 2.0F * std::numbers::pi_v<float>;
  for (int i = 0; i < k_dashes; ++i) {
    const float from = k_turn * static_cast<float>(i) / k_dashes;
    draw->PathArcTo(c, r * 0.8F, from, from + k_turn * 0.55F / k_dashes, 4);
    draw->PathStroke(palette.faint, 0, std::fmax(1.2F, r * 0.2F));
  }
}

float draw_certainty(ImDrawList* draw, const Palette& palette, ImVec2 at, float height,
                     study::Certainty certainty) {
  const float width = std::round(height * 1.15F);
  const float thick = std::fmax(1.0F, std::round(height * 0.1F));
  const ImU32 ink = palette.faint;
  if (certainty == study::Certainty::proved) {
    for (const float dy : {-0.14F, 0.14F}) {
      const float y = std::round(at.y + dy * height);
      draw->AddRectFilled({at.x, y - thick * 0.5F}, {at.x + width, y + thick * 0.5F}, ink);
    }
  } else if (certainty == study::Certainty::sampled) {
    for (int i = 0; i < 4; ++i) {
      const float x = at.x + width * (static_cast<float>(i) + 0.5F) / 4.0F;
      draw->AddCircleFilled({x, at.y}, std::fmax(1.0F, height * 0.09F), ink, 8);
    }
  } else {
    constexpr int k_points = 13;
    ImVec2 wave[k_points];
    for (int i = 0; i < k_points; ++i) {
      const float t = static_cast<float>(i) / (k_points - 1);
      wave[i] = {at.x + t * width,
                 at.y + 0.16F * height * std::sin(t * 2.0F * std::numbers::pi_v<float>)};
    }
    draw->AddPolyline(wave, k_points, ink, 0, thick);
  }
  return width;
}

}  // namespace bight::view
