// Short dialogs: questions about files, names, and what to add.

#include <imgui.h>
#include <imgui_stdlib.h>

#include <algorithm>
#include <utility>

#include "base/number.h"
#include "view/commands.h"
#include "view/dialog_state.h"
#include "view/fitted_text.h"

namespace bight::view {
namespace {

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
    save_plan(context);
    return true;
  }
  ImGui::SameLine();
  if (ImGui::Button("Throw them away")) {
    go_on(context);
    return true;
  }
  ImGui::SameLine();
  if (ImGui::Button("Go back")) {
    context.state.forget_wishes();
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
    const std::string problem = context.editor.reload();
    context.report(problem);
    if (problem.empty()) go_on(context);
    return true;
  }
  if (ImGui::IsItemHovered()) ImGui::SetTooltip("Undo brings back what was here");
  ImGui::SameLine();
  if (ImGui::Button("The one here")) {
    context.editor.keep_mine();
    if (std::exchange(context.state.save_wanted, false)) save_plan(context);
    return true;
  }
  ImGui::SameLine();
  const bool later = ImGui::Button("Decide later");
  // The question comes up by itself: a key that was on its way must not decide it.
  ImGui::SetItemDefaultFocus();
  if (later) {
    context.state.forget_wishes();
    return true;
  }
  return false;
}

bool recovery_dialog(const PanelContext& context, DialogState& state) {
  wrapped_text("The program ended before these edits were saved:", context.palette.ink);
  const float one = 2.0F * ImGui::GetTextLineHeightWithSpacing() +
                    ImGui::GetFrameHeightWithSpacing() + context.em * 0.2F;
  const float all = one * static_cast<float>(state.left_behind.size());
  ImGui::BeginChild("left", {0.0F, std::min(all, ImGui::GetIO().DisplaySize.y * 0.5F)}, false,
                    ImGuiWindowFlags_NavFlattened);
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

}  // namespace bight::view
