#include <algorithm>
#include <cmath>
#include <optional>

#include "base/number.h"
#include "base/tolerance.h"
#include "base/units.h"
#include "editor/section_edit.h"
#include "picture/chain_section.h"
#include "view/draw_drawing.h"
#include "view/fitted_text.h"
#include "view/panels.h"
#include "view/severity_mark.h"

namespace bight::view {
namespace {

std::optional<study::ChainFigures> figures_of(const PanelContext& context,
                                              const std::string& chain) {
  const auto& live = context.editor.live();
  if (!live) return {};
  const auto it = std::ranges::find(live->chains, chain, &study::ChainFigures::name);
  return it != live->chains.end() ? std::optional(*it) : std::nullopt;
}

std::vector<std::string> chains_of(const PanelContext& context) {
  std::vector<std::string> names;
  for (const plan::Chain& chain : context.editor.model()->plan.chains) {
    if (chain.present) names.push_back(chain.name);
  }
  return names;
}

void chain_choice(const PanelContext& context, const std::vector<std::string>& names) {
  std::string& shown = context.state.section_chain;
  if (std::ranges::find(names, shown) == names.end()) shown = names.front();
  const std::string selected = context.editor.selected_thing();
  const float width = ImGui::GetContentRegionAvail().x;
  ImGui::SetNextItemWidth(width);
  if (ImGui::BeginCombo("##chain", shortened(shown, width - context.em * 2.6F).c_str())) {
    for (const std::string& name : names) {
      if (ImGui::Selectable(name.c_str(), name == shown)) {
        shown = name;
        context.editor.select_thing(name);
      }
    }
    ImGui::EndCombo();
  }
}

/// The lines and dividers of the drawing as items: drag one to another place.
void drag_items(const PanelContext& context, const DrawingFrame& frame,
                const editor::ChainSection& section, const std::string& chain) {
  ImDrawList* draw = ImGui::GetWindowDrawList();
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  const bool dragged = ImGui::GetIO().MouseDragMaxDistanceSqr[0] > 9.0F;
  for (std::size_t i = 0; i < section.problem.lines.size(); ++i) {
    const auto& centre = section.result.lines[i].centre_mm;
    if (!centre) continue;
    const chain::FillLine& line = section.problem.lines[i];
    const float r =
        std::max(context.em * 0.4F, static_cast<float>(line.diameter_mm) * 0.5F * frame.scale);
    const ImVec2 at = frame.window(*centre);
    ImGui::SetCursorScreenPos({at.x - r, at.y - r});
    ImGui::InvisibleButton(("line in chain " + line.name).c_str(), {2.0F * r, 2.0F * r});
    if (ImGui::IsItemHovered()) context.point_at(line.name);
    if (ImGui::IsItemHovered() && !ImGui::IsItemActive()) {
      draw->AddCircle(at, r, context.palette.accent, 0, 2.5F);
      ImGui::SetTooltip(
          "%s\n%s across, %s free (wanted %s)", line.name.c_str(),
          length_text(line.diameter_mm, context.unit()).c_str(),
          length_text(section.result.lines[i].clearance_mm, context.unit()).c_str(),
          length_text(section.result.lines[i].wanted_clearance_mm, context.unit()).c_str());
    }
    if (ImGui::IsItemActive() && dragged) {
      draw->AddCircleFilled(mouse, r, with_alpha(context.palette.accent, 0.3F));
      draw->AddCircle(mouse, r, context.palette.accent, 0, 2.0F);
    }
    if (ImGui::IsItemDeactivated() && dragged) {
      context.report(context.editor.apply_all(
          editor::place_line(*context.editor.model(), context.editor.document(), chain, line.name,
                             frame.drawing(mouse)),
          "move " + line.name + " in " + chain));
      return;
    }
  }
  for (std::size_t d = 0; d < section.problem.dividers_mm.size(); ++d) {
    const double x = section.problem.dividers_mm[d];
    const ImVec2 top = frame.window({x, section.problem.height_mm});
    const ImVec2 bottom = frame.window({x, 0.0});
    const float half =
        std::max(context.em * 0.35F,
                 static_cast<float>(section.problem.divider_thickness_mm) * 0.5F * frame.scale);
    ImGui::SetCursorScreenPos({top.x - half, top.y});
    ImGui::InvisibleButton(("divider " + std::to_string(d + 1)).c_str(),
                           {2.0F * half, std::max(1.0F, bottom.y - top.y)});
    const bool hovered = ImGui::IsItemHovered();
    if (hovered || ImGui::IsItemActive()) {
      ImGui::SetMouseCursor(ImGuiMouseCursor_ResizeEW);
      const float at = ImGui::IsItemActive() && dragged ? mouse.x : top.x;
      draw->AddLine({at, top.y}, {at, bottom.y}, context.palette.accent, 2.5F);
    }
    if (hovered && !ImGui::IsItemActive()) {
      ImGui::SetTooltip("Divider at %s; drag it, or double click to take it out",
                        length_text(x, context.unit()).c_str());
    }
    if (hovered && ImGui::IsMouseDoubleClicked(ImGuiMouseButton_Left)) {
      context.report(context.editor.apply_all(
          editor::remove_divider(*context.editor.model(), chain, d), "take out a divider"));
      return;
    }
    if (ImGui::IsItemDeactivated() && dragged) {
      context.report(context.editor.apply_all(
          editor::move_divider(*context.editor.model(), chain, d, frame.drawing(mouse).x),
          "move a divider"));
      return;
    }
  }
}

/// The drawing without the names of the lines and what leads to them, for a sheet that is too
/// narrow for names: lines are numbered there, and the table below has the names.
picture::Drawing without_names(picture::Drawing drawing, const editor::ChainSection& section) {
  double top = -1e9;
  for (const picture::DrawnPolygon& polygon : drawing.polygons) {
    for (const Vec2& p : polygon.points) top = std::max(top, p.y);
  }
  std::erase_if(drawing.texts, [&](const picture::DrawnText& text) {
    return std::ranges::any_of(section.problem.lines, [&](const chain::FillLine& line) {
      return text.text.find(line.name) != std::string::npos;
    });
  });
  std::erase_if(drawing.lines, [top](const picture::DrawnLine& line) {
    return !line.arrows && std::max(line.from.y, line.to.y) > top + k_length_equal_mm;
  });
  drawing.lower = Vec2(1e9);
  drawing.upper = Vec2(-1e9);
  const auto take = [&](const Vec2& p) {
    drawing.lower = glm::min(drawing.lower, p);
    drawing.upper = glm::max(drawing.upper, p);
  };
  for (const picture::DrawnPolygon& polygon : drawing.polygons) {
    for (const Vec2& p : polygon.points) take(p);
  }
  for (const picture::DrawnLine& line : drawing.lines) {
    take(line.from);
    take(line.to);
  }
  return drawing;
}

void numbers(const PanelContext& context, const DrawingFrame& frame,
             const editor::ChainSection& section) {
  ImDrawList* draw = ImGui::GetWindowDrawList();
  for (std::size_t i = 0; i < section.result.lines.size(); ++i) {
    const auto& centre = section.result.lines[i].centre_mm;
    if (!centre) continue;
    const std::string number = std::to_string(i + 1);
    const ImVec2 size = ImGui::CalcTextSize(number.c_str());
    const ImVec2 at = frame.window(*centre);
    if (static_cast<float>(section.problem.lines[i].diameter_mm) * frame.scale < size.x) continue;
    draw->AddText({std::floor(at.x - size.x * 0.5F), std::floor(at.y - size.y * 0.5F)},
                  context.palette.ink, number.c_str());
  }
}

void fact(const PanelContext& context, const char* name, const std::string& value,
          bool good = true) {
  ImGui::TableNextRow();
  ImGui::TableNextColumn();
  fitted_text(name, context.palette.faint);
  ImGui::TableNextColumn();
  fitted_text(value, good ? context.palette.ink : context.palette.stop);
}

void facts(const PanelContext& context, const study::ChainFigures& figures,
           const editor::ChainSection& section) {
  const LengthUnit unit = context.unit();
  const chain::FillResult& fill = section.result;
  if (!fill.problem.empty()) wrapped_text(fill.problem, context.palette.stop);
  if (!ImGui::BeginTable("facts", 2)) return;
  ImGui::TableSetupColumn("name", ImGuiTableColumnFlags_WidthStretch, 0.45F);
  ImGui::TableSetupColumn("value", ImGuiTableColumnFlags_WidthStretch, 0.55F);
  fact(context, "inside",
       length_text(section.problem.width_mm, unit) + " \u00d7 " +
           length_text(section.problem.height_mm, unit));
  fact(context, "area filled", fixed(fill.area_percent, 0) + " %");
  fact(context, "mass of the lines", fixed(fill.mass_kg_per_m, 2) + " kg/m");
  fact(context, "left, right half",
       fixed(fill.left_kg_per_m, 2) + ", " + fixed(fill.right_kg_per_m, 2) + " kg/m");
  fact(context, "links",
       std::to_string(figures.loop.links) + ", fewest " + std::to_string(figures.loop.fewest_links),
       figures.loop.links >= figures.loop.fewest_links);
  fact(context, "length", length_text(figures.loop.length_mm, unit));
  fact(context, "bend radius", length_text(figures.bend_radius_mm, unit));
  fact(context, "room beyond bracket", length_text(figures.loop.loop_room_mm, unit));
  if (figures.unsupported_mm) {
    std::string straight = length_text(*figures.unsupported_mm, unit, 0);
    if (figures.allowed_straight_mm) {
      straight += " of " + length_text(*figures.allowed_straight_mm, unit, 0);
    }
    fact(context, "unsupported", straight,
         !figures.allowed_straight_mm || *figures.unsupported_mm <= *figures.allowed_straight_mm);
  }
  ImGui::EndTable();
}

void line_table(const PanelContext& context, const editor::ChainSection& section,
                const std::string& chain) {
  if (!ImGui::BeginTable("lines", 3, ImGuiTableFlags_RowBg)) return;
  ImGui::TableSetupColumn("line", ImGuiTableColumnFlags_WidthStretch, 0.5F);
  ImGui::TableSetupColumn("across", ImGuiTableColumnFlags_WidthStretch, 0.24F);
  ImGui::TableSetupColumn("free", ImGuiTableColumnFlags_WidthStretch, 0.26F);
  for (const char* name : {"line", "across", "free"}) {
    ImGui::TableNextColumn();
    fitted_text(name, context.palette.faint);
  }
  for (std::size_t i = 0; i < section.problem.lines.size(); ++i) {
    const chain::FillLine& line = section.problem.lines[i];
    const chain::PlacedLine& placed = section.result.lines[i];
    ImGui::PushID(static_cast<int>(i));
    ImGui::TableNextRow();
    ImGui::TableNextColumn();
    fitted_text(std::to_string(i + 1) + "  " + line.name, context.palette.ink);
    if (ImGui::IsItemHovered()) context.point_at(line.name);
    if (line.at_mm && ImGui::IsItemClicked(ImGuiMouseButton_Right)) {
      context.report(context.editor.apply_all(
          editor::release_line(context.editor.document(), chain, line.name),
          "let the program place " + line.name));
    }
    ImGui::TableNextColumn();
    fitted_text(length_text(line.diameter_mm, context.unit()), context.palette.ink);
    ImGui::TableNextColumn();
    const bool good =
        placed.centre_mm && placed.clearance_mm >= placed.wanted_clearance_mm - k_length_equal_mm;
    fitted_text(placed.centre_mm ? length_text(placed.clearance_mm, context.unit()) : "no place",
                good ? context.palette.ink : context.palette.stop);
    ImGui::PopID();
  }
  ImGui::EndTable();
}

}  // namespace

void section_panel(const PanelContext& context, const Area& area) {
  if (area.empty()) return;
  begin_sheet("Section", context, area);
  const auto names = context.editor.model() ? chains_of(context) : std::vector<std::string>();
  if (names.empty()) {
    wrapped_text("No drag chain is in this option.", context.palette.faint);
    end_sheet();
    return;
  }
  chain_choice(context, names);
  const std::string& chain = context.state.section_chain;
  // Copies: an edit made here replaces model and results.
  const auto model = context.editor.model();
  const auto figures = figures_of(context, chain);
  const auto section = editor::chain_section(*model, chain);
  if (!figures || !section) {
    wrapped_text("The chain is being worked out\u2026", context.palette.faint);
    end_sheet();
    return;
  }
  const auto& chains = model->plan.chains;
  const auto in_plan = std::ranges::find(chains, chain, &plan::Chain::name);
  const picture::Drawing drawing =
      without_names(picture::chain_section(*in_plan, *figures, context.unit()), *section);
  const float width = ImGui::GetContentRegionAvail().x;
  const Vec2 extent = drawing.upper - drawing.lower;
  // As wide as the sheet; the margin holds the dimensions' texts.
  const float margin = context.em * 3.6F;
  const float scale =
      extent.x > 0.0 ? std::max(0.0F, width - 2.0F * margin) / static_cast<float>(extent.x) : 1.0F;
  const ImVec2 size{width,
                    std::floor(std::clamp(static_cast<float>(extent.y) * scale + 2.0F * margin,
                                          context.em * 6.0F, context.em * 26.0F))};
  const ImVec2 corner = ImGui::GetCursorScreenPos();
  const DrawingFrame frame = fitted_frame(drawing, corner, size, margin);
  ImGui::GetWindowDrawList()->AddRectFilled(corner, {corner.x + size.x, corner.y + size.y},
                                            context.palette.well);
  draw_drawing(ImGui::GetWindowDrawList(), drawing, frame, context.scheme, context.fonts,
               context.em, corner, size);
  numbers(context, frame, *section);
  drag_items(context, frame, *section, chain);
  ImGui::SetCursorScreenPos({corner.x, corner.y + size.y + ImGui::GetStyle().ItemSpacing.y});
  if (ImGui::Button("Add a divider")) {
    context.report(context.editor.apply_all(
        editor::add_divider(*context.editor.model(), chain, section->problem.width_mm * 0.5),
        "add a divider"));
  }
  ImGui::SameLine();
  if (ImGui::Button("Place all")) {
    std::vector<editor::Edit> edits;
    for (const chain::FillLine& line : section->problem.lines) {
      for (editor::Edit& e : editor::release_line(context.editor.document(), chain, line.name)) {
        edits.push_back(std::move(e));
      }
    }
    if (!edits.empty()) {
      context.report(context.editor.apply_all(edits, "let the program place the lines"));
    }
  }
  if (ImGui::IsItemHovered()) ImGui::SetTooltip("The program places every line again");
  ImGui::PushFont(context.fonts.small);
  wrapped_text("Seen towards the bend, its inside on top. Drag lines and dividers.",
               context.palette.faint);
  ImGui::PopFont();
  line_table(context, *section, chain);
  facts(context, *figures, *section);
  end_sheet();
}

}  // namespace bight::view
