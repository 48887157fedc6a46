// Short dialogs: questions about files, names, and what to add.

#include <imgui.h>
#include <imgui_stdlib.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/number.h"
#include "plan/keys.h"
#include "view/commands.h"
#include "view/dialog_state.h"
#include "view/fitted_text.h"

namespace bight::view {
namespace {

/// Goes on with what waited for the answer.
void go_on(const PanelContext& context) {
  ViewState& state = context.state;
  if (state.quit_wanted) {
    state.quit = true;
    return;
  }
  const std::filesystem::path file = std::exchange(state.wanted, {});
  if (!file.empty()) context.report(context.editor.open(file));
  state.frame_asked = true;
}

std::string age_text(double seconds) {
  if (seconds < 120.0) return fixed(seconds, 0) + " s ago";
  if (seconds < 7200.0) return fixed(seconds / 60.0, 0) + " min ago";
  if (seconds < 172800.0) return fixed(seconds / 3600.0, 0) + " h ago";
  return fixed(seconds / 86400.0, 0) + " days ago";
}

bool name_field(const char* hint, std::string& name, bool focus) {
  ImGui::SetNextItemWidth(ImGui::GetContentRegionAvail().x);
  if (focus && ImGui::IsWindowAppearing()) ImGui::SetKeyboardFocusHere();
  return ImGui::InputTextWithHint((std::string("##") + hint).c_str(), hint, &name,
                                  ImGuiInputTextFlags_EnterReturnsTrue);
}

}  // namespace

bool leave_dialog(const PanelContext& context) {
  editor::Editor& editor = context.editor;
  const std::string name =
      editor.file().empty() ? std::string("This plan") : editor.file().filename().string();
  wrapped_text(name + " has edits that are not saved.", context.palette.ink);
  ImGui::Dummy({0.0F, context.em * 0.4F});
  if (ImGui::Button("Save")) {
    if (editor.file().empty()) {
      context.state.ask(Dialog::save_as);
      return true;
    }
    const std::string problem = editor.save();
    context.report(problem);
    if (problem.empty()) go_on(context);
    return problem.empty();
  }
  ImGui::SameLine();
  if (ImGui::Button("Leave them")) {
    if (!context.state.wanted.empty() || context.state.quit_wanted) {
      // The recovery file keeps what was left.
      go_on(context);
    }
    return true;
  }
  ImGui::SameLine();
  if (ImGui::Button("Go back")) {
    context.state.quit_wanted = false;
    context.state.wanted.clear();
    return true;
  }
  return false;
}

bool conflict_dialog(const PanelContext& context) {
  wrapped_text(context.editor.file().filename().string() +
                   " was changed by another program, and here as well. Which one is to stay?",
               context.palette.ink);
  ImGui::Dummy({0.0F, context.em * 0.4F});
  if (ImGui::Button("The one on the disk")) {
    context.report(context.editor.reload());
    return true;
  }
  if (ImGui::IsItemHovered()) ImGui::SetTooltip("Undo brings back what was here");
  ImGui::SameLine();
  if (ImGui::Button("The one here")) {
    context.editor.keep_mine();
    return true;
  }
  return false;
}

bool recovery_dialog(const PanelContext& context, DialogState& state) {
  wrapped_text("The program ended before these edits were saved:", context.palette.ink);
  ImGui::BeginChild("left", {0.0F, ImGui::GetContentRegionAvail().y - context.em * 2.4F});
  for (std::size_t i = 0; i < state.left_behind.size(); ++i) {
    const editor::LeftBehind& left = state.left_behind[i];
    ImGui::PushID(static_cast<int>(i));
    const std::string name = left.recovery.plan_file.empty()
                                 ? std::string("a plan that was never saved")
                                 : left.recovery.plan_file;
    fitted_text(name, context.palette.ink);
    fitted_text("edited " + age_text(left.age_s), context.palette.faint);
    const bool take = ImGui::Button("Go on with it");
    ImGui::SameLine();
    const bool drop = ImGui::Button("Throw away");
    ImGui::PopID();
    if (take) {
      const std::string problem = context.editor.recover(left.file);
      context.report(problem);
      context.state.frame_asked = true;
      ImGui::EndChild();
      return problem.empty();
    }
    if (drop) {
      context.editor.discard_left_behind(left.file);
      state.left_behind.erase(state.left_behind.begin() + static_cast<std::ptrdiff_t>(i));
      break;
    }
  }
  ImGui::EndChild();
  return ImGui::Button("Later") || state.left_behind.empty();
}

bool add_option_dialog(const PanelContext& context, DialogState& state) {
  const std::string& from = context.editor.option();
  wrapped_text("A copy of " + (from.empty() ? std::string("the plan as written") : from) +
                   " to change and compare.",
               context.palette.ink);
  const bool entered = name_field("name", state.name, true);
  name_field("what is different, in a sentence", state.about, false);
  if (!state.problem.empty()) wrapped_text(state.problem, context.palette.stop);
  ImGui::BeginDisabled(state.name.empty());
  const bool pressed = ImGui::Button("Make it");
  ImGui::EndDisabled();
  ImGui::SameLine();
  if (ImGui::Button("Go back")) return true;
  if ((entered || pressed) && !state.name.empty()) {
    state.problem = context.editor.add_option(state.name, state.about);
    return state.problem.empty();
  }
  return false;
}

bool rename_dialog(const PanelContext& context, DialogState& state) {
  wrapped_text("Everything that refers to " + context.editor.selected() + " goes along.",
               context.palette.ink);
  const bool entered = name_field("name", state.name, true);
  if (!state.problem.empty()) wrapped_text(state.problem, context.palette.stop);
  const bool pressed = ImGui::Button("Rename it");
  ImGui::SameLine();
  if (ImGui::Button("Go back")) return true;
  if ((entered || pressed) && !state.name.empty()) {
    state.problem =
        context.editor.apply(editor::RenameElement{context.editor.selected(), state.name});
    return state.problem.empty();
  }
  return false;
}

bool add_element_dialog(const PanelContext& context, DialogState& state) {
  wrapped_text("What is to be added?", context.palette.ink);
  ImGui::BeginChild("tables", {0.0F, ImGui::GetContentRegionAvail().y - context.em * 6.2F}, true);
  for (const plan::KeyTable& table : plan::all_key_tables()) {
    const bool inner = table.path.find('.') != std::string::npos;
    if (!table.repeated || inner || table.path == "option") continue;
    const ImVec2 at = ImGui::GetCursorScreenPos();
    if (ImGui::Selectable(("##" + table.path).c_str(), state.table == table.path,
                          ImGuiSelectableFlags_DontClosePopups)) {
      state.table = table.path;
    }
    ImDrawList* draw = ImGui::GetWindowDrawList();
    draw->AddText(at, context.palette.ink, table.path.c_str());
    const float column = context.em * 6.6F;
    const float room = ImGui::GetContentRegionAvail().x - column;
    draw->AddText({at.x + column, at.y}, context.palette.faint,
                  shortened(table.meaning, room).c_str());
  }
  ImGui::EndChild();
  const auto& tables = plan::all_key_tables();
  const auto table = std::ranges::find(tables, state.table, &plan::KeyTable::path);
  const bool named = table != tables.end() && table->named;
  ImGui::BeginDisabled(!named);
  const bool entered = name_field("name", state.name, false);
  ImGui::EndDisabled();
  if (!state.problem.empty()) wrapped_text(state.problem, context.palette.stop);
  const bool ready = !state.table.empty() && (!named || !state.name.empty());
  ImGui::BeginDisabled(!ready);
  const bool pressed = ImGui::Button("Add it");
  ImGui::EndDisabled();
  ImGui::SameLine();
  if (ImGui::Button("Go back")) return true;
  if (!ready || !(entered || pressed)) return false;
  plan::NewElement element{.table = state.table};
  if (named) element.values = {{"name", plan::toml_text(state.name)}};
  state.problem = context.editor.apply(editor::AddElement{element});
  if (!state.problem.empty()) return false;
  if (named) context.editor.select(state.table + "." + state.name);
  context.state.page = Page::plan;
  return true;
}

}  // namespace bight::view
