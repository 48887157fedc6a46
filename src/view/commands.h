#pragma once
// Everything that can be asked for by a key or from the menu, in one table: menu, keyboard and the
// list of shortcuts are made from it, so none can drift from the others.

#include <functional>
#include <string>
#include <vector>

#include "view/panel_context.h"

namespace bight::view {

struct Shortcut {
  int key = 0;  ///< GLFW; 0: none
  bool ctrl = false;
  bool shift = false;
  bool alt = false;
};

struct Command {
  std::string group;
  std::string name;
  Shortcut shortcut;
  std::function<bool(const PanelContext&)> possible;  ///< empty: always
  std::function<void(const PanelContext&)> run;
  bool in_menu = true;
};

/// In the order of the menu; groups stand together.
const std::vector<Command>& all_commands();

/// "Ctrl+Shift+S"; empty for none.
std::string to_text(const Shortcut& shortcut);

/// What the keyboard does besides commands: for the list of shortcuts.
struct KeyNote {
  std::string keys;
  std::string what;
};
const std::vector<KeyNote>& key_notes();

/// Runs what was pressed in this frame, unless a text field or a dialog has the keyboard; moves
/// joints by the arrow keys.
void run_pressed(const PanelContext& context);

/// Asks to open a plan; unsaved edits are settled first.
void open_plan(const PanelContext& context, const std::filesystem::path& file);

/// Saves, or brings up the dialog that has to come first.
void save_plan(const PanelContext& context);

/// Ends the program; unsaved edits are settled first.
void ask_to_quit(const PanelContext& context);

/// Does what waited until the edits were saved or given up: ends the program, or opens a plan.
void go_on(const PanelContext& context);

/// Selects the finding `step` places further in the list as it is filtered and sorted.
void step_finding(const PanelContext& context, int step);

}  // namespace bight::view
