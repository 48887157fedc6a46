#include "view/stage_input.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "render/draw_annotations.h"
#include "view/fitted_text.h"
#include "view/handle_drag.h"
#include "view/view_bar.h"

namespace bight::view {
namespace {

struct PictureSpace {
  ImVec2 corner;
  double ratio = 1.0;
  Vec2 pixel(ImVec2 at) const {
    return {static_cast<double>(at.x - corner.x) * ratio,
            static_cast<double>(at.y - corner.y) * ratio};
  }
  ImVec2 window(const Vec2& pixel) const {
    return {corner.x + static_cast<float>(pixel.x / ratio),
            corner.y + static_cast<float>(pixel.y / ratio)};
  }
};

void navigate(Stage& stage, const PictureSpace& space, bool hovered) {
  const ImGuiIO& io = ImGui::GetIO();
  const Vec2 moved{static_cast<double>(io.MouseDelta.x) * space.ratio,
                   static_cast<double>(io.MouseDelta.y) * space.ratio};
  const bool has_moved = moved.x != 0.0 || moved.y != 0.0;
  if (ImGui::IsItemActive() && has_moved) {
    const bool pan = io.MouseDown[ImGuiMouseButton_Right] ||
                     io.MouseDown[ImGuiMouseButton_Middle] || io.KeyShift;
    stage.set_camera(pan ? scene::panned(stage.camera(), stage.size(), moved)
                         : scene::orbited(stage.camera(), moved));
  }
  if (hovered && io.MouseWheel != 0.0F) {
    const double factor = std::pow(0.87, static_cast<double>(io.MouseWheel));
    stage.set_camera(scene::zoomed(stage.camera(), stage.size(), space.pixel(io.MousePos), factor));
  }
}

void pick(const PanelContext& context, Stage& stage, const PictureSpace& space) {
  const auto thing = stage.thing_at(space.pixel(ImGui::GetIO().MousePos));
  if (!thing) {
    context.editor.select("");
    return;
  }
  if (thing->kind == scene::ThingKind::finding) return;
  context.editor.select_thing(thing->name);
  if (!context.editor.selected().empty()) context.state.page = Page::plan;
}

/// How a handle is drawn tells what it is: a hook by a ring, an anchor by a square, brackets by a
/// lying bar, a part by four corners.
void draw_handle(ImDrawList* draw, const PanelContext& context, ImVec2 c, float r,
                 editor::HandleKind kind, bool strong) {
  const ImU32 ink = context.palette.accent;
  const ImU32 plate = with_alpha(context.palette.sheet, strong ? 1.0F : 0.8F);
  const float thick = strong ? 2.6F : 1.7F;
  switch (kind) {
    case editor::HandleKind::support:
      draw->AddCircleFilled(c, r, plate, 20);
      draw->AddCircle(c, r, ink, 20, thick);
      draw->AddCircleFilled(c, r * 0.3F, ink, 10);
      return;
    case editor::HandleKind::anchor:
      draw->AddRectFilled({c.x - r * 0.8F, c.y - r * 0.8F}, {c.x + r * 0.8F, c.y + r * 0.8F},
                          plate);
      draw->AddRect({c.x - r * 0.8F, c.y - r * 0.8F}, {c.x + r * 0.8F, c.y + r * 0.8F}, ink, 0.0F,
                    0, thick);
      draw->AddCircleFilled(c, r * 0.25F, ink, 10);
      return;
    case editor::HandleKind::fixed_bracket:
    case editor::HandleKind::moving_bracket: {
      const float h = r * 0.55F;
      draw->AddRectFilled({c.x - r, c.y - h}, {c.x + r, c.y + h}, plate);
      draw->AddRect({c.x - r, c.y - h}, {c.x + r, c.y + h}, ink, 0.0F, 0, thick);
      if (kind == editor::HandleKind::fixed_bracket) {
        draw->AddLine({c.x - r, c.y + h * 2.0F}, {c.x + r, c.y + h * 2.0F}, ink, thick);
      }
      return;
    }
    case editor::HandleKind::part:
      for (const float sx : {-1.0F, 1.0F}) {
        for (const float sy : {-1.0F, 1.0F}) {
          const ImVec2 corner{c.x + sx * r, c.y + sy * r};
          draw->AddLine(corner, {corner.x - sx * r * 0.7F, corner.y}, ink, thick);
          draw->AddLine(corner, {corner.x, corner.y - sy * r * 0.7F}, ink, thick);
        }
      }
      draw->AddCircleFilled(c, r * 0.25F, ink, 10);
      return;
  }
}

const char* axis_name(const Vec3& direction) {
  if (std::abs(direction.x) > 0.9) return "X";
  if (std::abs(direction.y) > 0.9) return "Y";
  return std::abs(direction.z) > 0.9 ? "Z" : "its way";
}

/// Arms of a handle: dragged, they move it along one direction only.
void arms(const PanelContext& context, Stage& stage, const PictureSpace& space,
          const ShownHandle& shown) {
  const float grip = context.em * static_cast<float>(k_handle_em);
  const ImVec2 middle = space.window(shown.pixel);
  for (const ShownArm& arm : shown.arms) {
    const ImVec2 at = space.window(arm.grip);
    const char* letter = axis_name(arm.direction);
    const std::string name =
        "move " + shown.handle.thing + " along " + letter + "##" + shown.handle.id + letter;
    ImGui::SetCursorScreenPos({at.x - grip, at.y - grip});
    ImGui::InvisibleButton(name.c_str(), {2.0F * grip, 2.0F * grip});
    const bool strong = ImGui::IsItemHovered() || ImGui::IsItemActive();
    ImDrawList* draw = ImGui::GetWindowDrawList();
    draw->AddLine(middle, at, context.palette.accent, strong ? 3.0F : 1.8F);
    draw->AddCircleFilled(at, grip, context.palette.sheet, 16);
    draw->AddCircle(at, grip, context.palette.accent, 16, strong ? 2.6F : 1.7F);
    if (letter[1] == '\0') {
      ImFont* font = context.fonts.small;
      const ImVec2 size = font->CalcTextSizeA(font->FontSize, 1e6F, 0.0F, letter);
      draw->AddText(font, font->FontSize,
                    {std::floor(at.x - size.x * 0.5F), std::floor(at.y - size.y * 0.5F)},
                    context.palette.accent, letter);
    }
    drag_handle(context, stage.camera(), stage.size(), space.pixel(ImGui::GetIO().MousePos), shown,
                arm.direction);
  }
}

void handles(const PanelContext& context, Stage& stage, const PictureSpace& space) {
  const float r = context.em * static_cast<float>(k_handle_em);
  const std::vector<std::string> marked = context.editor.highlighted();
  for (const ShownHandle& shown : stage.handles()) {
    const editor::Handle& handle = shown.handle;
    const ImVec2 middle = space.window(shown.pixel);
    const std::string name = "handle " + handle.thing +
                             (handle.kind == editor::HandleKind::fixed_bracket    ? ", fixed end"
                              : handle.kind == editor::HandleKind::moving_bracket ? ", moving end"
                                                                                  : "") +
                             "##" + handle.id;
    arms(context, stage, space, shown);
    ImGui::SetCursorScreenPos({middle.x - r, middle.y - r});
    ImGui::InvisibleButton(name.c_str(), {2.0F * r, 2.0F * r});
    const bool concerned = std::ranges::find(marked, handle.thing) != marked.end();
    const bool strong = shown.chosen || concerned || ImGui::IsItemHovered() ||
                        ImGui::IsItemActive() || context.is_hovered(handle.thing);
    draw_handle(ImGui::GetWindowDrawList(), context, middle, r, handle.kind, strong);
    if (ImGui::IsItemHovered() && !ImGui::IsItemActive()) {
      context.point_at(handle.thing);
      ImGui::SetTooltip("%s: drag to move it; alt: without snapping", handle.thing.c_str());
    }
    drag_handle(context, stage.camera(), stage.size(), space.pixel(ImGui::GetIO().MousePos), shown,
                {});
  }
}

/// What there is to say of the maps of the picture.
void map_note(const PanelContext& context, const Area& area) {
  if (context.map_note.text.empty()) return;
  const std::string note = shortened(context.map_note.text, area.width - 2.0F * context.em);
  const ImVec2 size = ImGui::CalcTextSize(note.c_str());
  const ImVec2 at{std::floor(area.x + 0.5F * (area.width - size.x)),
                  std::floor(area.y + context.em * 2.6F)};
  ImDrawList* draw = ImGui::GetWindowDrawList();
  const float pad = context.em * 0.4F;
  draw->AddRectFilled({at.x - pad, at.y - pad}, {at.x + size.x + pad, at.y + size.y + pad},
                      with_alpha(context.palette.sheet, 0.85F));
  const ImU32 ink = context.map_note.is_good ? context.palette.clear : context.palette.ink;
  draw->AddText(at, ink, note.c_str());
}

/// What the pointer has come to rest on. Walls and the floor are left alone: they are under the
/// pointer nearly everywhere.
void point(const PanelContext& context, Stage& stage, const PictureSpace& space) {
  const ImGuiIO& io = ImGui::GetIO();
  const bool rests = io.MouseDelta.x == 0.0F && io.MouseDelta.y == 0.0F;
  if (!rests || context.editor.playing() || context.editor.dragging()) return;
  const auto thing = stage.thing_at(space.pixel(io.MousePos));
  if (!thing || thing->kind == scene::ThingKind::finding || stage.is_room(*thing)) return;
  context.point_at(thing->name);
  if (!thing->name.empty()) ImGui::SetTooltip("%s", thing->name.c_str());
}

}  // namespace

void stage_panel(const PanelContext& context, Stage& stage, double pixel_ratio) {
  const Area& area = context.layout.picture;
  if (area.empty()) return;
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, {0.0F, 0.0F});
  begin_sheet("Picture", context, area,
              ImGuiWindowFlags_NoBackground | ImGuiWindowFlags_NoScrollbar |
                  ImGuiWindowFlags_NoScrollWithMouse);
  ImGui::PopStyleVar();
  const PictureSpace space{{area.x, area.y}, pixel_ratio};
  if (context.editor.model()) {
    view_bar(context, stage);
    render::draw_annotations(
        *ImGui::GetWindowDrawList(), stage.annotations(), context.fonts,
        context.scheme == Scheme::dark ? scene::Scheme::dark : scene::Scheme::light,
        {static_cast<double>(area.x), static_cast<double>(area.y)});
    // Handles lie over the picture, so they come first to the pointer.
    handles(context, stage, space);
    map_note(context, area);
    ImGui::SetCursorScreenPos({area.x, area.y});
    ImGui::InvisibleButton("picture", {area.width, area.height},
                           ImGuiButtonFlags_MouseButtonLeft | ImGuiButtonFlags_MouseButtonRight |
                               ImGuiButtonFlags_MouseButtonMiddle);
    const bool hovered = ImGui::IsItemHovered();
    navigate(stage, space, hovered);
    if (hovered && !ImGui::IsItemActive()) point(context, stage, space);
    const bool still = ImGui::GetIO().MouseDragMaxDistanceSqr[0] < 16.0F;
    if (hovered && ImGui::IsMouseReleased(ImGuiMouseButton_Left) && still &&
        ImGui::IsItemDeactivated()) {
      pick(context, stage, space);
    }
    if (hovered && ImGui::IsMouseDoubleClicked(ImGuiMouseButton_Left)) {
      stage.frame(Framing::close, context.editor.highlighted());
    }
  }
  end_sheet();
}

}  // namespace bight::view
