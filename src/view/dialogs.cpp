#include <algorithm>
#include <cmath>
#include <utility>

#include "view/commands.h"
#include "view/dialog_keys.h"
#include "view/dialog_state.h"
#include "view/fitted_text.h"
#include "view/panels.h"

namespace bight::view {
namespace {

struct DialogLook {
  const char* title;
  float width_em;
  float height_em;  ///< 0: as tall as its content
};

DialogLook look_of(Dialog dialog) {
  switch (dialog) {
    case Dialog::start:
      return {"Start", 44.0F, 31.0F};
    case Dialog::open:
      return {"Open a plan", 42.0F, 30.0F};
    case Dialog::save_as:
      return {"Save as", 42.0F, 30.0F};
    case Dialog::new_plan:
      return {"New plan", 36.0F, 37.0F};
    case Dialog::settings:
      return {"Settings", 34.0F, 22.0F};
    case Dialog::shortcuts:
      return {"Keys and mouse", 46.0F, 34.0F};
    case Dialog::leave:
      return {"Edits are not saved", 34.0F, 0.0F};
    case Dialog::conflict:
      return {"The file changed on the disk", 36.0F, 0.0F};
    case Dialog::recovery:
      return {"Edits were left behind", 40.0F, 0.0F};
    case Dialog::add_option:
      return {"New option", 32.0F, 0.0F};
    case Dialog::rename:
      return {"Rename", 30.0F, 0.0F};
    case Dialog::add_element:
      return {"Add to the plan", 46.0F, 34.0F};
    case Dialog::none:
      break;
  }
  return {"", 30.0F, 20.0F};
}

/// Fills what the dialog starts from.
void prepare(const PanelContext& context, DialogState& state) {
  const editor::Editor& editor = context.editor;
  state.problem.clear();
  switch (context.state.dialog) {
    case Dialog::start:
      state.demos = plan_cards(find_demo_plans());
      state.recent = plan_cards({editor.settings().recent.begin(), editor.settings().recent.end()});
      for (const auto* cards : {&state.demos, &state.recent}) {
        for (const PlanCard& card : *cards) {
          context.state.letters += card.file.string() + card.title.name + card.title.about;
        }
      }
      break;
    case Dialog::open:
      state.files = open_file_panel(editor.file().parent_path(), false);
      break;
    case Dialog::save_as:
      state.files =
          open_file_panel(editor.file().parent_path(), true,
                          editor.file().empty() ? "plan.toml" : editor.file().filename().string());
      break;
    case Dialog::recovery:
      state.left_behind = editor.left_behind();
      for (const editor::LeftBehind& left : state.left_behind) {
        context.state.letters += left.recovery.plan_file;
      }
      break;
    case Dialog::add_option:
      state.name.clear();
      state.about.clear();
      break;
    case Dialog::rename: {
      const std::string& path = editor.selected();
      state.name = path.substr(path.rfind('.') + 1);
      break;
    }
    case Dialog::add_element:
      state.name.clear();
      state.table.clear();
      break;
    default:
      break;
  }
}

bool body(const PanelContext& context, DialogState& state) {
  switch (context.state.dialog) {
    case Dialog::start:
      return start_dialog(context, state);
    case Dialog::open: {
      const float height =
          std::max(context.em * 3.0F, ImGui::GetContentRegionAvail().y - context.em * 9.5F);
      if (const auto file = file_panel(context, state.files, height)) {
        context.state.dialog = Dialog::none;
        open_plan(context, *file);
        return context.state.dialog == Dialog::none;
      }
      return false;
    }
    case Dialog::save_as: {
      const float height =
          std::max(context.em * 3.0F, ImGui::GetContentRegionAvail().y - context.em * 9.5F);
      const auto file = file_panel(context, state.files, height);
      if (!file) return false;
      state.files.problem = context.editor.save_as(*file);
      if (!state.files.problem.empty()) return false;
      context.tell("Saved " + file->filename().string());
      go_on(context);
      return true;
    }
    case Dialog::new_plan:
      return new_plan_dialog(context, state);
    case Dialog::settings:
      return settings_dialog(context, state);
    case Dialog::shortcuts:
      return shortcuts_dialog(context);
    case Dialog::leave:
      return leave_dialog(context);
    case Dialog::conflict:
      return conflict_dialog(context);
    case Dialog::recovery:
      return recovery_dialog(context, state);
    case Dialog::add_option:
      return add_option_dialog(context, state);
    case Dialog::rename:
      return rename_dialog(context, state);
    case Dialog::add_element:
      return add_element_dialog(context, state);
    case Dialog::none:
      break;
  }
  return true;
}

void message_line(const PanelContext& context) {
  ViewState& state = context.state;
  if (state.message.empty()) return;
  if (!state.message_until) state.message_until = context.now_s + state.message_for_s;
  if (context.now_s > *state.message_until) {
    state.message.clear();
    return;
  }
  const ImVec2 screen = ImGui::GetIO().DisplaySize;
  // Over the upper edge of the picture, where it hides no curve, no legend and no field.
  const Area& picture = context.layout.picture;
  const Area over = picture.empty() ? Area{0.0F, 0.0F, screen.x, screen.y} : picture;
  const float width =
      std::min(std::max(over.width, context.em * 20.0F) - context.em * 2.0F, context.em * 46.0F);
  const float text_width = width - context.em * 4.2F;
  const float height =
      ImGui::CalcTextSize(state.message.c_str(), nullptr, false, text_width).y + context.em * 1.3F;
  ImGui::SetNextWindowPos({std::floor(std::max(0.0F, over.x + (over.width - width) * 0.5F)),
                           std::floor(over.y + context.em * 2.8F)});
  ImGui::SetNextWindowSize({width, height});
  ImGui::Begin("Message", nullptr,
               ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove |
                   ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoFocusOnAppearing |
                   ImGuiWindowFlags_NoNav);
  const ImVec2 at = ImGui::GetWindowPos();
  ImDrawList* draw = ImGui::GetWindowDrawList();
  draw->AddRectFilled(at, {at.x + context.em * 0.35F, at.y + height},
                      state.message_is_problem ? context.palette.stop : context.palette.clear);
  draw->AddRect(at, {at.x + width, at.y + height}, context.palette.rule);
  ImGui::PushTextWrapPos(context.em * 1.0F + text_width);
  ImGui::SetCursorPosX(context.em);
  ImGui::TextUnformatted(state.message.c_str());
  ImGui::PopTextWrapPos();
  ImGui::SameLine(width - context.em * 2.3F);
  if (ImGui::Button("\u00d7##message", {context.em * 1.7F, 0.0F})) state.message.clear();
  ImGui::End();
}

/// Without a plan there is nothing behind a dialog but the start.
void end_dialog(const PanelContext& context) {
  ViewState& view = context.state;
  const Dialog ended = std::exchange(view.dialog, Dialog::none);
  if (context.editor.text().empty() && ended != Dialog::start && !view.quit) {
    view.ask(Dialog::start);
  }
}

}  // namespace

void dialogs(const PanelContext& context, DialogState& state) {
  ViewState& view = context.state;
  message_line(context);
  if (view.dialog == Dialog::none) return;
  if (view.dialog_opens) {
    prepare(context, state);
    ImGui::OpenPopup("###dialog");
    view.dialog_opens = false;
  }
  const DialogLook look = look_of(view.dialog);
  const ImVec2 screen = ImGui::GetIO().DisplaySize;
  const float width = std::floor(std::min(screen.x - 2.0F, look.width_em * context.em));
  const float height = std::floor(std::min(screen.y - 2.0F, look.height_em * context.em));
  ImGui::SetNextWindowSize({width, height});
  ImGui::SetNextWindowSizeConstraints({width, 0.0F}, {width, std::max(1.0F, screen.y - 2.0F)});
  ImGui::SetNextWindowPos({std::floor(screen.x * 0.5F), std::floor(screen.y * 0.5F)},
                          ImGuiCond_Always, {0.5F, 0.5F});
  bool open = true;
  const std::string title = std::string(look.title) + "###dialog";
  if (!ImGui::BeginPopupModal(
          title.c_str(), &open,
          ImGuiWindowFlags_NoResize | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings)) {
    if (!open) {
      end_dialog(context);
      view.forget_wishes();
    } else if (!ImGui::IsPopupOpen("###dialog")) {
      // ImGui closes popups when a window behind them comes up; only a person may end a dialog.
      ImGui::OpenPopup("###dialog");
    }
    return;
  }
  const Dialog shown = view.dialog;
  if (ImGui::IsWindowAppearing()) show_focus();
  bool done = body(context, state);
  if (ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Escape), false)) {
    done = true;
    view.forget_wishes();
  }
  // One dialog may ask for another, which opens in the next frame.
  if (done && view.dialog == shown && !view.dialog_opens) end_dialog(context);
  if (view.dialog != shown || view.dialog_opens) ImGui::CloseCurrentPopup();
  ImGui::EndPopup();
}

}  // namespace bight::view
