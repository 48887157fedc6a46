#include "view/theme.h"

#include "render/draw_annotations.h"
#include "scene/palette.h"

#include <cmath>

namespace bight::view {
namespace {

constexpr ImU32 rgb(unsigned hex) {
  return 0xff000000U | (hex & 0xffU) << 16U | (hex & 0xff00U) | hex >> 16U;
}

constexpr Palette k_light = {
    .backdrop = rgb(0xd7dbdd),
    .sheet = rgb(0xf5f5f2),
    .well = rgb(0xfefefc),
    .rule = rgb(0xc4c8c8),
    .ink = rgb(0x23282b),
    .faint = rgb(0x5c6467),
    .accent = rgb(0x1f6470),
    .accent_soft = rgb(0xd3e2e1),
    .on_accent = rgb(0xffffff),
    .on_mark = rgb(0xffffff),
    .series = {rgb(0x1f6470), rgb(0x8a4f7d), rgb(0x9a5b00), rgb(0x41588f)},
};

constexpr Palette k_dark = {
    .backdrop = rgb(0x15191b),
    .sheet = rgb(0x20262a),
    .well = rgb(0x181d20),
    .rule = rgb(0x3b4449),
    .ink = rgb(0xe9e6dc),
    .faint = rgb(0xa2aba9),
    .accent = rgb(0x6fb9bd),
    .accent_soft = rgb(0x2b4246),
    .on_accent = rgb(0x10191b),
    .on_mark = rgb(0x15191b),
    .series = {rgb(0x6fb9bd), rgb(0xd39ac6), rgb(0xe6ad4a), rgb(0x92aae0)},
};

ImVec4 vec(ImU32 colour, float alpha = 1.0F) {
  ImVec4 v = ImGui::ColorConvertU32ToFloat4(colour);
  v.w *= alpha;
  return v;
}

void set_colours(const Palette& p) {
  ImVec4* c = ImGui::GetStyle().Colors;
  c[ImGuiCol_Text] = vec(p.ink);
  c[ImGuiCol_TextDisabled] = vec(p.faint);
  c[ImGuiCol_WindowBg] = vec(p.sheet);
  c[ImGuiCol_ChildBg] = vec(p.sheet, 0.0F);
  c[ImGuiCol_PopupBg] = vec(p.sheet);
  c[ImGuiCol_Border] = vec(p.rule);
  c[ImGuiCol_BorderShadow] = vec(p.rule, 0.0F);
  c[ImGuiCol_FrameBg] = vec(p.well);
  c[ImGuiCol_FrameBgHovered] = vec(p.accent_soft);
  c[ImGuiCol_FrameBgActive] = vec(p.accent_soft);
  c[ImGuiCol_TitleBg] = c[ImGuiCol_TitleBgActive] = c[ImGuiCol_TitleBgCollapsed] =
      vec(p.accent_soft);
  c[ImGuiCol_MenuBarBg] = vec(p.sheet);
  c[ImGuiCol_ScrollbarBg] = vec(p.sheet, 0.0F);
  c[ImGuiCol_ScrollbarGrab] = vec(p.rule);
  c[ImGuiCol_ScrollbarGrabHovered] = c[ImGuiCol_ScrollbarGrabActive] = vec(p.accent);
  c[ImGuiCol_CheckMark] = vec(p.accent);
  c[ImGuiCol_SliderGrab] = vec(p.accent);
  c[ImGuiCol_SliderGrabActive] = vec(p.ink);
  c[ImGuiCol_Button] = vec(p.well);
  c[ImGuiCol_ButtonHovered] = vec(p.accent_soft);
  c[ImGuiCol_ButtonActive] = vec(p.rule);
  c[ImGuiCol_Header] = vec(p.accent_soft);
  c[ImGuiCol_HeaderHovered] = vec(p.accent_soft, 0.7F);
  c[ImGuiCol_HeaderActive] = vec(p.accent_soft);
  c[ImGuiCol_Separator] = vec(p.rule);
  c[ImGuiCol_SeparatorHovered] = c[ImGuiCol_SeparatorActive] = vec(p.accent);
  c[ImGuiCol_ResizeGrip] = c[ImGuiCol_ResizeGripHovered] = c[ImGuiCol_ResizeGripActive] =
      vec(p.rule);
  c[ImGuiCol_Tab] = vec(p.sheet);
  c[ImGuiCol_TabHovered] = c[ImGuiCol_TabActive] = vec(p.accent_soft);
  c[ImGuiCol_TabUnfocused] = vec(p.sheet);
  c[ImGuiCol_TabUnfocusedActive] = vec(p.accent_soft);
  c[ImGuiCol_PlotLines] = c[ImGuiCol_PlotHistogram] = vec(p.accent);
  c[ImGuiCol_TableHeaderBg] = vec(p.sheet);
  c[ImGuiCol_TableBorderStrong] = c[ImGuiCol_TableBorderLight] = vec(p.rule);
  c[ImGuiCol_TableRowBg] = vec(p.well, 0.0F);
  c[ImGuiCol_TableRowBgAlt] = vec(p.rule, 0.18F);
  c[ImGuiCol_TextSelectedBg] = vec(p.accent, 0.35F);
  c[ImGuiCol_DragDropTarget] = vec(p.act);
  c[ImGuiCol_NavHighlight] = vec(p.accent);
  c[ImGuiCol_ModalWindowDimBg] = vec(p.backdrop, 0.6F);
}

}  // namespace

namespace {

/// Verdicts have the colours that they have in the pictures.
Palette with_marks(Palette p, scene::Scheme scheme) {
  const auto of = [scheme](scene::Paint paint) {
    return render::packed(scene::color(paint, scheme));
  };
  p.stop = of(scene::Paint::stop);
  p.act = of(scene::Paint::act);
  p.clear = of(scene::Paint::clear);
  p.note = of(scene::Paint::note);
  return p;
}

}  // namespace

const Palette& palette(Scheme scheme) {
  static const Palette light = with_marks(k_light, scene::Scheme::light);
  static const Palette dark = with_marks(k_dark, scene::Scheme::dark);
  return scheme == Scheme::dark ? dark : light;
}

ImU32 colour_of(const Palette& palette, study::Severity severity) {
  switch (severity) {
    case study::Severity::stop:
      return palette.stop;
    case study::Severity::act:
      return palette.act;
    case study::Severity::note:
      return palette.note;
  }
  return palette.note;
}

ImU32 colour_of(const Palette& palette, study::Verdict verdict) {
  switch (verdict) {
    case study::Verdict::stop:
      return palette.stop;
    case study::Verdict::act:
      return palette.act;
    case study::Verdict::clear:
      return palette.clear;
  }
  return palette.note;
}

ImU32 with_alpha(ImU32 colour, float alpha) {
  return (colour & 0x00ffffffU) | static_cast<ImU32>(std::lround(alpha * 255.0F)) << 24U;
}

void apply_theme(Scheme scheme, float scale) {
  ImGuiStyle& style = ImGui::GetStyle();
  style = ImGuiStyle();
  style.WindowPadding = {10.0F, 8.0F};
  style.FramePadding = {7.0F, 4.0F};
  style.CellPadding = {5.0F, 3.0F};
  style.ItemSpacing = {7.0F, 5.0F};
  style.ItemInnerSpacing = {6.0F, 4.0F};
  style.IndentSpacing = 14.0F;
  style.ScrollbarSize = 11.0F;
  style.GrabMinSize = 12.0F;
  style.WindowRounding = 0.0F;
  style.ChildRounding = 0.0F;
  style.PopupRounding = 3.0F;
  style.FrameRounding = 2.0F;
  style.ScrollbarRounding = 5.0F;
  style.GrabRounding = 2.0F;
  style.TabRounding = 0.0F;
  style.WindowBorderSize = 0.0F;
  style.ChildBorderSize = 0.0F;
  style.PopupBorderSize = 1.0F;
  style.FrameBorderSize = 1.0F;
  style.WindowMinSize = {1.0F, 1.0F};
  style.WindowMenuButtonPosition = ImGuiDir_None;
  style.ScaleAllSizes(scale);
  set_colours(palette(scheme));
}

}  // namespace bight::view
