#pragma once
// What every panel gets: the editor whose state it shows and whose calls it makes, the state of the
// window that belongs to no plan, and how to draw.

#include <imgui.h>

#include <algorithm>
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

/// What the picture shows besides the machine.
struct Layers {
  bool travel = true;    ///< box of the places of the tool tip
  bool path = false;     ///< way of the tip on the tour
  bool reach = false;    ///< how low the tip gets over the bed
  bool blocked = false;  ///< where it cannot go
  int cut_axis = -1;     ///< 0 to 2: everything before this plane is cut away; below 0: nothing is
  double cut_at_mm = 0.0;
  bool operator==(const Layers&) const = default;
};

/// What belongs to the window and not to the plan. Kept between frames.
struct ViewState {
  Page page = Page::plan;
  Dialog dialog = Dialog::none;
  bool dialog_opens = false;     ///< it was asked for in this frame
  std::filesystem::path wanted;  ///< plan to open once unsaved edits are settled
  bool quit_wanted = false;      ///< to end once they are
  bool save_wanted = false;      ///< to save once it is known whose text is to stay
  bool conflict_asked = false;   ///< which text is to stay, since both changed
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
  std::string armed;           ///< handle that was taken hold of last: it shows its arms
  Vec3 grabbed{0.0};           ///< from a handle to where the pointer took hold of it, mm
  std::string open_table;      ///< group of the element list that is open
  bool top_chosen = false;     ///< the keys at the top of the file have the form
  bool show_names = true;
  bool show_handles = true;
  Layers layers;  ///< of the picture
  std::vector<std::string>
      pointed;          ///< things under the pointer in this frame, in a list or picture
  std::string letters;  ///< texts that may need letters of other scripts
  std::vector<std::string> hovered;  ///< those that it has come to rest on: highlighted everywhere
  bool cut_asked = false;            ///< to cut along the next axis
  bool frame_asked = false;          ///< bring the selection into view
  bool all_asked = false;            ///< show all
  bool chosen_asked = false;         ///< show what is chosen, close
  bool covered = false;  ///< a dialog or menu was over the window when the last frame ended
  std::optional<std::string> view_asked;  ///< named view to turn to
  bool hook_map_shown = true;
  std::size_t hook_index = 0;  ///< hold of the hooks page
  int hook_plane = 0;          ///< MapPlane

  void ask(Dialog which) {
    dialog = which;
    dialog_opens = true;
  }
  /// What waited for an answer does not wait any more.
  void forget_wishes() {
    wanted.clear();
    quit_wanted = false;
    save_wanted = false;
  }
};

/// What there is to say of the maps of the picture.
struct MapNote {
  std::string text;
  bool is_good = false;  ///< a good result, not something that is still to come
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
  MapNote map_note;

  LengthUnit unit() const { return editor.unit(); }

  /// Shows why something was refused, when `problem` says so.
  void report(const std::string& problem) const {
    if (problem.empty()) return;
    state.message = problem;
    state.letters += problem;
    state.message_is_problem = true;
    state.message_for_s = 12.0;
    state.message_until.reset();
  }
  /// The pointer is on a thing of the picture; shown everywhere once it rests there.
  void point_at(const std::string& thing) const {
    if (!thing.empty()) state.pointed.push_back(thing);
  }
  bool is_hovered(const std::string& thing) const {
    return !thing.empty() &&
           std::find(state.hovered.begin(), state.hovered.end(), thing) != state.hovered.end();
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
