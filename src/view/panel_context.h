#pragma once
// What every panel gets: the editor whose state it shows and whose calls it makes, the state of the
// window that belongs to no plan, and how to draw.

#include <imgui.h>

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "editor/editor.h"
#include "editor/finding_list.h"
#include "render/fonts.h"
#include "view/layout.h"
#include "view/text_field.h"
#include "view/theme.h"

namespace bight::view {

/// Sheets that come up over the window, one at a time.
enum class Dialog {
  none,
  start,
  open,
  save_as,
  new_plan,
  settings,
  shortcuts,
  leave,     ///< unsaved edits: closing, or opening another plan
  conflict,  ///< the file changed on the disk as well
  recovery,  ///< texts that were left behind
  add_option,
  rename,
  add_element,
};

/// What belongs to the window and not to the plan. Kept between frames.
struct ViewState {
  Page page = Page::plan;
  Dialog dialog = Dialog::none;
  bool dialog_opens = false;     ///< it was asked for in this frame
  std::filesystem::path wanted;  ///< plan to open once unsaved edits are settled
  bool quit_wanted = false;
  bool quit = false;
  std::string message;  ///< why the last thing asked for was refused; shown until the next
  bool message_is_problem = true;
  double message_for_s = 0.0;
  std::optional<double> message_until;  ///< counts from when it was first on the screen

  TypedText typed;
  editor::FindingFilter filter;
  editor::FindingOrder order = editor::FindingOrder::severity;
  bool scroll_to_finding = false;
  std::size_t joint = 0;      ///< that the arrow keys move
  std::string strip_run;      ///< free run that the tour strip shows
  std::string strip_finding;  ///< that the strip followed last
  std::string section_chain;  ///< chain of the section page
  std::string element_filter;
  std::string listed_element;  ///< that the list was opened at last
  Vec3 grabbed{0.0};           ///< from a handle to where the pointer took hold of it, mm
  std::string open_table;      ///< group of the element list that is open
  bool top_chosen = false;     ///< the keys at the top of the file have the form
  bool show_names = true;
  bool show_handles = true;
  bool frame_asked = false;               ///< bring the selection into view
  std::optional<std::string> view_asked;  ///< named view to turn to
  bool hook_map_shown = true;
  std::size_t hook_index = 0;  ///< hold of the hooks page
  int hook_plane = 0;          ///< MapPlane

  void ask(Dialog which) {
    dialog = which;
    dialog_opens = true;
  }
};

class OptionPictures;

struct PanelContext {
  editor::Editor& editor;
  ViewState& state;
  const Palette& palette;
  const render::Fonts& fonts;
  OptionPictures& pictures;
  Scheme scheme = Scheme::light;
  Layout layout;
  float em = 15.0F;
  double now_s = 0.0;

  LengthUnit unit() const { return editor.unit(); }

  /// Shows why something was refused, when `problem` says so.
  void report(const std::string& problem) const {
    if (problem.empty()) return;
    state.message = problem;
    state.message_is_problem = true;
    state.message_for_s = 12.0;
    state.message_until.reset();
  }
  void tell(const std::string& text) const {
    state.message = text;
    state.message_is_problem = false;
    state.message_for_s = 5.0;
    state.message_until.reset();
  }
};

/// A sheet that fills its area; `name` is its title for tests and screen, without being shown.
bool begin_sheet(const char* name, const PanelContext& context, const Area& area,
                 ImGuiWindowFlags flags = 0);
void end_sheet();

}  // namespace bight::view
