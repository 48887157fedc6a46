#pragma once
// What stands in the dialogs while they are open.

#include "plan/title.h"
#include "plan/write.h"
#include "view/file_panel.h"
#include "view/panel_context.h"

namespace bight::view {

/// A plan in a list: its file and what it says of itself.
struct PlanCard {
  std::filesystem::path file;
  plan::Title title;
};

struct DialogState {
  FilePanel files;
  plan::StarterAnswers answers;
  std::string name;   ///< of a new option or element
  std::string about;  ///< of a new option
  std::string table;  ///< of a new element
  std::string problem;
  std::vector<editor::LeftBehind> left_behind;
  std::vector<PlanCard> recent;  ///< of the start
  std::vector<PlanCard> demos;
};

/// Demo plans beside the program: in the share folder of an installation, or in the source tree
/// that it was built from.
std::vector<std::filesystem::path> find_demo_plans();

/// Reads what each plan says of itself.
std::vector<PlanCard> plan_cards(const std::vector<std::filesystem::path>& files);

// Each draws what is inside its dialog and returns true when the dialog is done with.
bool start_dialog(const PanelContext& context, DialogState& state);
bool new_plan_dialog(const PanelContext& context, DialogState& state);
bool settings_dialog(const PanelContext& context, DialogState& state);
bool shortcuts_dialog(const PanelContext& context);
bool leave_dialog(const PanelContext& context);
bool conflict_dialog(const PanelContext& context);
bool recovery_dialog(const PanelContext& context, DialogState& state);
bool add_option_dialog(const PanelContext& context, DialogState& state);
bool rename_dialog(const PanelContext& context, DialogState& state);
bool add_element_dialog(const PanelContext& context, DialogState& state);

/// The dialog that is asked for, if any, and the line of messages.
void dialogs(const PanelContext& context, DialogState& state);

}  // namespace bight::view
