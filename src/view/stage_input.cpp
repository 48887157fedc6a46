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

/// Arms of the selected handle: dragged, they move it along one direction only.
void arms(const PanelContext& context, Stage& stage, const PictureSpace& space,
          const editor::Handle& handle, ImVec2 middle, std::vector<ImVec2>& grips) {
  const float reach = context.em * 3.4F;
  const float grip = context.em * 0.55F;
  const double depth_scale = [&] {
    const auto p = scene::project(stage.camera(), stage.size(), handle.at);
    return p ? scene::mm_per_pixel(stage.camera(), stage.size(), p->depth_mm) : 1.0;
  }();
  for (const Vec3& direction : handle.directions) {
    const double mm = static_cast<double>(reach) * space.ratio * depth_scale;
    const auto tip = scene::project(stage.camera(), stage.size(), handle.at + mm * direction);
    if (!tip) continue;
    const ImVec2 at = space.window(tip->pixel);
    // Seen end on, an arm has no length to pull at.
    if (std::hypot(at.x - middle.x, at.y - middle.y) < context.em * 1.2F) continue;
    grips.push_back(at);
    const std::string name = "move " + handle.thing + " along " + axis_name(direction) + "##" +
                             handle.id + axis_name(direction);
    ImGui::SetCursorScreenPos({at.x - grip, at.y - grip});
    ImGui::InvisibleButton(name.c_str(), {2.0F * grip, 2.0F * grip});
    const bool strong = ImGui::IsItemHovered() || ImGui::IsItemActive();
    ImDrawList* draw = ImGui::GetWindowDrawList();
    draw->AddLine(middle, at, context.palette.accent, strong ? 3.0F : 1.8F);
    draw->AddCircleFilled(at, grip, context.palette.sheet, 16);
    draw->AddCircle(at, grip, context.palette.accent, 16, strong ? 2.6F : 1.7F);
    const char* letter = axis_name(direction);
    if (letter[1] == '\0') {
      ImFont* font = context.fonts.small;
      const ImVec2 size = font->CalcTextSizeA(font->FontSize, 1e6F, 0.0F, letter);
      draw->AddText(font, font->FontSize,
                    {std::floor(at.x - size.x * 0.5F), std::floor(at.y - size.y * 0.5F)},
                    context.palette.accent, letter);
    }
    drag_handle(context, stage.camera(), stage.size(), space.pixel(ImGui::GetIO().MousePos), handle,
                direction);
  }
}

/// Of the chosen thing's handles (a chain has one at each end) that which was taken last, else the
/// first: the arms of two would lie on each other.
std::string armed_handle(const std::vector<editor::Handle>& all, const std::string& selected,
                         const std::string& last) {
  std::string armed;
  for (const editor::Handle& handle : all) {
    if (handle.thing != selected) continue;
    if (armed.empty() || handle.id == last) armed = handle.id;
  }
  return armed;
}

/// Draws them; returns where the grips of arms are.
std::vector<ImVec2> handles(const PanelContext& context, Stage& stage, const PictureSpace& space) {
  std::vector<ImVec2> grips;
  const float r = context.em * 0.55F;
  const std::string selected = context.editor.selected_thing();
  const std::vector<std::string> marked = context.editor.highlighted();
  const std::vector<editor::Handle> all = context.editor.handles();
  const std::string armed = armed_handle(all, selected, context.state.armed);
  for (const editor::Handle& handle : all) {
    const bool chosen = handle.thing == selected;
    // A part's handle would hide the part, and there are many: only the chosen part has one.
    // Of holds only those of this option.
    if ((handle.kind == editor::HandleKind::part || !handle.in_use) && !chosen) continue;
    if (context.editor.hidden().contains(handle.thing)) continue;
    const auto& cut = stage.scene().section;
    if (cut && glm::dot(cut->normal, handle.at - cut->point) > 0.0) continue;
    const auto at = scene::project(stage.camera(), stage.size(), handle.at);
    if (!at) continue;
    const ImVec2 middle = space.window(at->pixel);
    const Area& area = context.layout.picture;
    if (middle.x < area.x + r || middle.y < area.y + r || middle.x > area.x + area.width - r ||
        middle.y > area.y + area.height - r) {
      continue;
    }
    const std::string name = "handle " + handle.thing +
                             (handle.kind == editor::HandleKind::fixed_bracket    ? ", fixed end"
                              : handle.kind == editor::HandleKind::moving_bracket ? ", moving end"
                                                                                  : "") +
                             "##" + handle.id;
    if (armed == handle.id) arms(context, stage, space, handle, middle, grips);
    ImGui::SetCursorScreenPos({middle.x - r, middle.y - r});
    ImGui::InvisibleButton(name.c_str(), {2.0F * r, 2.0F * r});
    const bool concerned = std::ranges::find(marked, handle.thing) != marked.end();
    const bool strong = chosen || concerned || ImGui::IsItemHovered() || ImGui::IsItemActive() ||
                        context.is_hovered(handle.thing);
    draw_handle(ImGui::GetWindowDrawList(), context, middle, r, handle.kind, strong);
    if (ImGui::IsItemHovered() && !ImGui::IsItemActive()) {
      context.point_at(handle.thing);
      ImGui::SetTooltip("%s: drag to move it; alt: without snapping", handle.thing.c_str());
    }
    drag_handle(context, stage.camera(), stage.size(), space.pixel(ImGui::GetIO().MousePos), handle,
                {});
  }
  return grips;
}

/// Names that would lie under a grip are left out.
scene::Annotations without_names_under(const std::vector<ImVec2>& grips,
                                       scene::Annotations annotations, const PictureSpace& space,
                                       double reach) {
  std::erase_if(annotations.texts, [&](const scene::PlacedText& text) {
    return std::ranges::any_of(grips, [&](const ImVec2& grip) {
      const Vec2 at = space.pixel(grip);
      const Vec2 near = glm::clamp(at, text.corner, text.corner + text.size);
      return glm::length(at - near) < reach;
    });
  });
  return annotations;
}

/// What there is to say of the maps of the picture.
void map_note(const PanelContext& context, const Area& area) {
  if (context.map_note.empty()) return;
  const std::string note = shortened(context.map_note, area.width - 2.0F * context.em);
  const ImVec2 size = ImGui::CalcTextSize(note.c_str());
  const ImVec2 at{std::floor(area.x + 0.5F * (area.width - size.x)),
                  std::floor(area.y + context.em * 2.6F)};
  ImDrawList* draw = ImGui::GetWindowDrawList();
  const float pad = context.em * 0.4F;
  draw->AddRectFilled({at.x - pad, at.y - pad}, {at.x + size.x + pad, at.y + size.y + pad},
                      with_alpha(context.palette.sheet, 0.85F));
  draw->AddText(at, context.palette.act, note.c_str());
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
    // Handles lie over the picture, so they come first to the pointer.
    std::vector<ImVec2> grips;
    if (context.state.show_handles) grips = handles(context, stage, space);
    render::draw_annotations(
        *ImGui::GetWindowDrawList(),
        without_names_under(grips, stage.annotations(), space,
                            static_cast<double>(context.em) * 0.6 * pixel_ratio),
        context.fonts, context.scheme == Scheme::dark ? scene::Scheme::dark : scene::Scheme::light,
        {static_cast<double>(area.x), static_cast<double>(area.y)});
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
      stage.frame(context.editor.highlighted());
    }
  }
  end_sheet();
}

}  // namespace bight::view
