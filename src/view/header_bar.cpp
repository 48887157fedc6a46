#include <algorithm>
#include <cmath>

#include "plan/option.h"
#include "view/commands.h"
#include "view/fitted_text.h"
#include "view/panels.h"
#include "view/severity_mark.h"

namespace bight::view {
namespace {

using plan::option_label;

/// A button as wide as its text, or drawn as unusable.
bool text_button(const char* label, bool possible) {
  ImGui::BeginDisabled(!possible);
  const bool pressed = ImGui::Button(label);
  ImGui::EndDisabled();
  return pressed;
}

void menu(const PanelContext& context) {
  if (ImGui::Button("Menu")) ImGui::OpenPopup("menu");
  if (!ImGui::BeginPopup("menu")) return;
  if (ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Escape))) ImGui::CloseCurrentPopup();
  const float keys_at = context.em * 16.0F;
  std::string group;
  for (const Command& command : all_commands()) {
    if (!command.in_menu) continue;
    if (command.group != group) {
      group = command.group;
      ImGui::PushFont(context.fonts.small);
      fitted_text(group, context.palette.faint, keys_at);
      ImGui::PopFont();
    }
    const bool possible = !command.possible || command.possible(context);
    ImGui::BeginDisabled(!possible);
    ImGui::SetCursorPosX(ImGui::GetCursorPosX() + context.em * 0.7F);
    if (ImGui::Selectable(command.name.c_str(), false, 0, {keys_at + context.em * 6.0F, 0.0F})) {
      command.run(context);
    }
    ImGui::SameLine(keys_at + context.em);
    const std::string keys = to_text(command.shortcut);
    ImGui::TextColored(ImGui::ColorConvertU32ToFloat4(context.palette.faint), "%s", keys.c_str());
    ImGui::EndDisabled();
  }
  ImGui::EndPopup();
}

std::string file_words(const editor::Editor& editor) {
  switch (editor.file_state()) {
    case editor::FileState::unnamed:
      return "not saved yet";
    case editor::FileState::same:
      return editor.file().filename().string();
    case editor::FileState::changed_here:
      return editor.file().filename().string() + ", edited";
    case editor::FileState::changed_there:
      return editor.file().filename().string() + ", changed on disk";
    case editor::FileState::changed_both:
      return editor.file().filename().string() + ", changed here and on disk";
    case editor::FileState::gone:
      return editor.file().filename().string() + ", gone from disk";
  }
  return {};
}

/// What the checks are doing, at the right end of the first line.
void progress(const PanelContext& context, float room) {
  const editor::WorkerState state = context.editor.background();
  const bool searching = context.editor.looking_for_remedies();
  if (!state.running && !searching) return;
  const float bar = std::min(room, context.em * 13.0F);
  if (bar < context.em * 6.0F) return;
  ImGui::SameLine(ImGui::GetWindowWidth() - bar - context.em * 0.7F);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float height = ImGui::GetFrameHeight();
  ImDrawList* draw = ImGui::GetWindowDrawList();
  const float thin = std::max(2.0F, context.em * 0.2F);
  const float track = bar - context.em * 4.2F;
  const float y = at.y + height - thin;
  draw->AddRectFilled({at.x, y}, {at.x + track, y + thin}, context.palette.rule);
  draw->AddRectFilled(
      {at.x, y}, {at.x + track * static_cast<float>(std::clamp(state.share, 0.0, 1.0)), y + thin},
      context.palette.accent);
  ImGui::PushFont(context.fonts.small);
  const std::string what =
      state.running ? "checking " + option_label(state.option) : "looking for remedies";
  draw->AddText({at.x, at.y}, context.palette.faint, shortened(what, track).c_str());
  ImGui::SetCursorScreenPos({at.x + track + context.em * 0.4F, at.y});
  if (ImGui::Button("Stop", {context.em * 3.6F, 0.0F})) context.editor.cancel_background();
  ImGui::PopFont();
}

/// Marks an option by its verdict; broken ring while there is none that holds.
void option_mark(const PanelContext& context, ImVec2 centre, const editor::OptionResult& result) {
  ImDrawList* draw = ImGui::GetWindowDrawList();
  const float r = context.em * 0.36F;
  if (result.freshness == editor::Freshness::current && result.checked.study) {
    draw_mark(draw, context.palette, centre, r, result.checked.study->verdict);
  } else {
    draw_pending_mark(draw, context.palette, centre, r);
  }
}

/// One option as a tag with its mark. Returns its width when `measure_only`.
float option_tag(const PanelContext& context, const std::string& option, bool measure_only) {
  const std::string label = shortened(option_label(option), context.em * 14.0F);
  const float width = ImGui::CalcTextSize(label.c_str()).x + context.em * 2.3F;
  if (measure_only) return width;
  const bool chosen = option == context.editor.option();
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float height = ImGui::GetFrameHeight();
  if (ImGui::InvisibleButton(("option " + option_label(option)).c_str(), {width, height})) {
    context.report(context.editor.choose_option(option));
  }
  ImDrawList* draw = ImGui::GetWindowDrawList();
  const bool hovered = ImGui::IsItemHovered();
  if (chosen || hovered) {
    draw->AddRectFilled(at, {at.x + width, at.y + height},
                        chosen ? context.palette.accent_soft : context.palette.well);
  }
  if (chosen) {
    const float bar = std::max(2.0F, context.em * 0.16F);
    draw->AddRectFilled({at.x, at.y + height - bar}, {at.x + width, at.y + height},
                        context.palette.accent);
  }
  option_mark(context, {at.x + context.em * 0.9F, at.y + height * 0.5F},
              context.editor.result(option));
  draw->AddText({at.x + context.em * 1.6F, at.y + ImGui::GetStyle().FramePadding.y},
                chosen ? context.palette.ink : context.palette.faint, label.c_str());
  return width;
}

void option_choice(const PanelContext& context, float room) {
  const auto options = context.editor.options();
  float wanted = context.em * 3.0F;
  for (const std::string& option : options) {
    wanted += option_tag(context, option, true) + ImGui::GetStyle().ItemSpacing.x;
  }
  if (wanted <= room) {
    for (const std::string& option : options) {
      option_tag(context, option, false);
      ImGui::SameLine();
    }
    if (ImGui::Button("+##new option")) context.state.ask(Dialog::add_option);
    if (ImGui::IsItemHovered()) ImGui::SetTooltip("A new option from this one");
    return;
  }
  const float width = std::min(room, context.em * 17.0F);
  ImGui::SetNextItemWidth(width);
  const std::string shown =
      shortened(option_label(context.editor.option()), width - context.em * 3.5F);
  if (ImGui::BeginCombo("##option", ("     " + shown).c_str())) {
    for (const std::string& option : options) {
      const ImVec2 at = ImGui::GetCursorScreenPos();
      if (ImGui::Selectable(("     " + option_label(option)).c_str(),
                            option == context.editor.option())) {
        context.report(context.editor.choose_option(option));
      }
      option_mark(context, {at.x + context.em * 0.6F, at.y + context.em * 0.5F},
                  context.editor.result(option));
    }
    ImGui::EndCombo();
  }
  const ImVec2 low = ImGui::GetItemRectMin();
  option_mark(context, {low.x + context.em * 0.9F, low.y + ImGui::GetFrameHeight() * 0.5F},
              context.editor.result());
}

}  // namespace

void header_bar(const PanelContext& context) {
  const Area& area = context.layout.header;
  if (area.empty()) return;
  const editor::Editor& editor = context.editor;
  begin_sheet("Header", context, area,
              ImGuiWindowFlags_NoScrollbar | ImGuiWindowFlags_NoScrollWithMouse);
  menu(context);
  const bool two_lines = area.height > context.em * 4.0F;
  const bool has_plan = !editor.text().empty();
  if (has_plan && two_lines) {
    ImGui::SameLine();
    if (text_button("Save", editor.unsaved())) save_plan(context);
    ImGui::SameLine();
    if (text_button("Undo", !editor.undo_name().empty())) context.report(context.editor.undo());
    if (ImGui::IsItemHovered()) ImGui::SetTooltip("Undo: %s", editor.undo_name().c_str());
    ImGui::SameLine();
    if (text_button("Redo", !editor.redo_name().empty())) context.report(context.editor.redo());
    if (ImGui::IsItemHovered()) ImGui::SetTooltip("Redo: %s", editor.redo_name().c_str());
    ImGui::SameLine(0.0F, context.em);
    const float room = ImGui::GetContentRegionAvail().x - context.em * 14.0F;
    if (room > context.em * 3.0F) {
      const std::string name = editor.model() ? editor.model()->plan.name : "plan with errors";
      ImGui::AlignTextToFramePadding();
      fitted_text(name, context.palette.ink, room * 0.5F);
      ImGui::SameLine();
      ImGui::AlignTextToFramePadding();
      fitted_text(file_words(editor), context.palette.faint, room * 0.5F);
    }
    progress(context, context.em * 13.0F);
    option_choice(context, ImGui::GetContentRegionAvail().x);
  } else if (has_plan) {
    ImGui::SameLine();
    option_choice(context, ImGui::GetContentRegionAvail().x * 0.6F);
    ImGui::SameLine();
    ImGui::AlignTextToFramePadding();
    if (ImGui::GetContentRegionAvail().x > context.em * 3.0F) {
      fitted_text(file_words(editor), context.palette.faint);
    }
  }
  end_sheet();
}

}  // namespace bight::view
