#include "view/commands.h"

#include <GLFW/glfw3.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace bight::view {
namespace {

bool has_plan(const PanelContext& c) {
  return !c.editor.text().empty();
}

void step_option(const PanelContext& c, int step) {
  const auto names = c.editor.options();
  const auto here = std::ranges::find(names, c.editor.option());
  if (names.empty() || here == names.end()) return;
  const auto count = static_cast<int>(names.size());
  const int next = (static_cast<int>(here - names.begin()) + step + count) % count;
  c.report(c.editor.choose_option(names[static_cast<std::size_t>(next)]));
}

void apply_advice(const PanelContext& c) {
  if (c.editor.selected_finding().empty()) return;
  const editor::Remedies& remedies = c.editor.remedies();
  if (remedies.finding == c.editor.selected_finding() && !remedies.remedies.empty()) {
    c.report(c.editor.apply_remedy(0));
  } else {
    c.report(c.editor.look_for_remedies(c.editor.selected_finding()));
  }
}

void change_speed(const PanelContext& c, double factor) {
  editor::Settings settings = c.editor.settings();
  settings.tour_speed = std::clamp(settings.tour_speed * factor, 0.1, 20.0);
  c.editor.set_settings(settings);
}

void toggle_scheme(const PanelContext& c) {
  editor::Settings settings = c.editor.settings();
  settings.scheme =
      settings.scheme == editor::Scheme::dark ? editor::Scheme::light : editor::Scheme::dark;
  c.editor.set_settings(settings);
}

void toggle_unit(const PanelContext& c) {
  editor::Settings settings = c.editor.settings();
  settings.unit = c.editor.unit() == LengthUnit::mm ? LengthUnit::inch : LengthUnit::mm;
  c.editor.set_settings(settings);
}

std::vector<Command> make_commands() {
  std::vector<Command> all;
  const auto add = [&all](std::string group, std::string name, Shortcut shortcut,
                          std::function<void(const PanelContext&)> run,
                          std::function<bool(const PanelContext&)> possible = {},
                          bool in_menu = true) {
    all.push_back({std::move(group), std::move(name), shortcut, std::move(possible), std::move(run),
                   in_menu});
  };
  const auto dialog = [](Dialog which) {
    return [which](const PanelContext& c) { c.state.ask(which); };
  };
  const auto view = [](const char* name) {
    return [name](const PanelContext& c) { c.state.view_asked = name; };
  };

  add("File", "New plan", {GLFW_KEY_N, true}, dialog(Dialog::new_plan));
  add("File", "Open", {GLFW_KEY_O, true}, dialog(Dialog::open));
  add("File", "Recent and demo plans", {GLFW_KEY_B, true}, dialog(Dialog::start));
  add("File", "Save", {GLFW_KEY_S, true}, save_plan, has_plan);
  add("File", "Save as", {GLFW_KEY_S, true, true}, dialog(Dialog::save_as), has_plan);
  add(
      "File", "Read again from disk", {GLFW_KEY_R, true},
      [](const PanelContext& c) { c.report(c.editor.reload()); },
      [](const PanelContext& c) { return !c.editor.file().empty(); });
  add("File", "Settings", {GLFW_KEY_COMMA, true}, dialog(Dialog::settings));
  add("File", "Keys and mouse", {GLFW_KEY_F1}, dialog(Dialog::shortcuts));
  add("File", "Quit", {GLFW_KEY_Q, true}, ask_to_quit);

  add(
      "Edit", "Undo", {GLFW_KEY_Z, true}, [](const PanelContext& c) { c.report(c.editor.undo()); },
      [](const PanelContext& c) { return !c.editor.undo_name().empty(); });
  add(
      "Edit", "Redo", {GLFW_KEY_Y, true}, [](const PanelContext& c) { c.report(c.editor.redo()); },
      [](const PanelContext& c) { return !c.editor.redo_name().empty(); });
  const auto selected = [](const PanelContext& c) { return !c.editor.selected().empty(); };
  add("Edit", "Add element", {GLFW_KEY_INSERT}, dialog(Dialog::add_element), has_plan);
  add(
      "Edit", "Duplicate element", {GLFW_KEY_D, true},
      [](const PanelContext& c) {
        c.report(c.editor.apply(editor::DuplicateElement{c.editor.selected(), {}}));
      },
      selected);
  add("Edit", "Rename element", {GLFW_KEY_F2}, dialog(Dialog::rename), selected);
  add(
      "Edit", "Remove element", {GLFW_KEY_DELETE},
      [](const PanelContext& c) {
        c.report(c.editor.apply(editor::RemoveElement{c.editor.selected()}));
      },
      selected);

  add(
      "Options", "Next option", {GLFW_KEY_RIGHT, false, false, true},
      [](const PanelContext& c) { step_option(c, 1); }, has_plan);
  add(
      "Options", "Previous option", {GLFW_KEY_LEFT, false, false, true},
      [](const PanelContext& c) { step_option(c, -1); }, has_plan);
  add("Options", "New option from this one", {GLFW_KEY_T, true}, dialog(Dialog::add_option),
      has_plan);

  add(
      "Findings", "Next finding", {GLFW_KEY_N}, [](const PanelContext& c) { step_finding(c, 1); },
      has_plan);
  add(
      "Findings", "Previous finding", {GLFW_KEY_N, false, true},
      [](const PanelContext& c) { step_finding(c, -1); }, has_plan);
  add("Findings", "Find, then apply a remedy", {GLFW_KEY_A}, apply_advice,
      [](const PanelContext& c) { return !c.editor.selected_finding().empty(); });
  add(
      "Findings", "Check again", {GLFW_KEY_F5},
      [](const PanelContext& c) { c.editor.check_again(); }, has_plan);

  add(
      "Travel", "Home", {GLFW_KEY_H}, [](const PanelContext& c) { c.editor.go_home(); }, has_plan);
  for (int corner = 0; corner < 8; ++corner) {
    add(
        "Travel", "Corner " + std::to_string(corner + 1), {GLFW_KEY_1 + corner},
        [corner](const PanelContext& c) { c.editor.go_corner(static_cast<std::size_t>(corner)); },
        has_plan, false);
  }
  add(
      "Travel", "Play or pause the tour", {GLFW_KEY_SPACE},
      [](const PanelContext& c) { c.editor.play(!c.editor.playing()); }, has_plan);
  add(
      "Travel", "Tour faster", {GLFW_KEY_RIGHT_BRACKET},
      [](const PanelContext& c) { change_speed(c, 1.5); }, has_plan, false);
  add(
      "Travel", "Tour slower", {GLFW_KEY_LEFT_BRACKET},
      [](const PanelContext& c) { change_speed(c, 1.0 / 1.5); }, has_plan, false);

  add(
      "Picture", "Show all", {GLFW_KEY_F}, [](const PanelContext& c) { c.state.all_asked = true; },
      has_plan);
  const auto has_chosen = [](const PanelContext& c) { return !c.editor.highlighted().empty(); };
  add(
      "Picture", "Show what is chosen", {GLFW_KEY_F, false, true},
      [](const PanelContext& c) { c.state.chosen_asked = true; }, has_chosen);
  add(
      "Picture", "Choose nothing", {GLFW_KEY_ESCAPE},
      [](const PanelContext& c) { c.editor.select(""); },
      [](const PanelContext& c) {
        return !c.editor.dragging() &&
               !(c.editor.selected().empty() && c.editor.selected_finding().empty());
      });
  add("Picture", "From the front", {GLFW_KEY_F6}, view("front"), has_plan);
  add("Picture", "From the right", {GLFW_KEY_F7}, view("right"), has_plan);
  add("Picture", "From above", {GLFW_KEY_F8}, view("above"), has_plan);
  add("Picture", "From the corner", {GLFW_KEY_F9}, view("corner"), has_plan);
  add("Picture", "Names on or off", {GLFW_KEY_L},
      [](const PanelContext& c) { c.state.show_names = !c.state.show_names; });
  add("Picture", "Handles on or off", {GLFW_KEY_G},
      [](const PanelContext& c) { c.state.show_handles = !c.state.show_handles; });
  const auto layer = [](bool Layers::*which) {
    return [which](const PanelContext& c) { c.state.layers.*which = !(c.state.layers.*which); };
  };
  add("Picture", "Way of the tip on the tour", {GLFW_KEY_P}, layer(&Layers::path), has_plan);
  add("Picture", "Reach over the bed", {GLFW_KEY_R}, layer(&Layers::reach), has_plan);
  add("Picture", "Where the tip cannot go", {GLFW_KEY_B}, layer(&Layers::blocked), has_plan);
  add(
      "Picture", "Cut along X, Y, Z, none", {GLFW_KEY_C},
      [](const PanelContext& c) { c.state.cut_asked = true; }, has_plan);
  add("Picture", "Day or night colours", {GLFW_KEY_F10}, toggle_scheme);
  add("Picture", "Millimetres or inches", {GLFW_KEY_F11}, toggle_unit);

  constexpr const char* k_page_names[k_pages] = {"Findings", "Travel",  "Plan",  "Section",
                                                 "Lengths",  "Compare", "Hooks", "Curves"};
  for (int page = 0; page < k_pages; ++page) {
    add(
        "Pages", std::string("Page ") + k_page_names[page], {GLFW_KEY_1 + page, false, false, true},
        [page](const PanelContext& c) { c.state.page = static_cast<Page>(page); }, {}, false);
  }
  return all;
}

std::string key_name(int key) {
  if (key >= GLFW_KEY_A && key <= GLFW_KEY_Z) return {static_cast<char>('A' + key - GLFW_KEY_A)};
  if (key >= GLFW_KEY_0 && key <= GLFW_KEY_9) return {static_cast<char>('0' + key - GLFW_KEY_0)};
  if (key >= GLFW_KEY_F1 && key <= GLFW_KEY_F12) return "F" + std::to_string(1 + key - GLFW_KEY_F1);
  switch (key) {
    case GLFW_KEY_SPACE:
      return "Space";
    case GLFW_KEY_COMMA:
      return ",";
    case GLFW_KEY_LEFT_BRACKET:
      return "[";
    case GLFW_KEY_RIGHT_BRACKET:
      return "]";
    case GLFW_KEY_LEFT:
      return "Left";
    case GLFW_KEY_RIGHT:
      return "Right";
    case GLFW_KEY_ESCAPE:
      return "Escape";
    case GLFW_KEY_DELETE:
      return "Delete";
    case GLFW_KEY_INSERT:
      return "Insert";
    default:
      return "?";
  }
}

/// mm that an arrow key moves a joint: a tenth with shift, ten times with ctrl.
double jog_step() {
  const ImGuiIO& io = ImGui::GetIO();
  return io.KeyShift ? 1.0 : io.KeyCtrl ? 100.0 : 10.0;
}

void jog(const PanelContext& context) {
  if (ImGui::GetIO().KeyAlt) return;
  const auto joints = context.editor.joints();
  const auto move = [&](const char* name, int key, double sign) {
    if (!ImGui::IsKeyPressed(key)) return;
    for (std::size_t j = 0; j < joints.size(); ++j) {
      if (joints[j].name == name) {
        context.state.joint = j;
        context.editor.set_joint(j, joints[j].value + sign * jog_step());
      }
    }
  };
  move("X", GLFW_KEY_LEFT, -1.0);
  move("X", GLFW_KEY_RIGHT, 1.0);
  move("Y", GLFW_KEY_DOWN, -1.0);
  move("Y", GLFW_KEY_UP, 1.0);
  move("Z", GLFW_KEY_PAGE_DOWN, -1.0);
  move("Z", GLFW_KEY_PAGE_UP, 1.0);
}

}  // namespace

const std::vector<Command>& all_commands() {
  static const std::vector<Command> commands = make_commands();
  return commands;
}

std::string to_text(const Shortcut& s) {
  if (s.key == 0) return {};
  return std::string(s.ctrl ? "Ctrl+" : "") + (s.alt ? "Alt+" : "") + (s.shift ? "Shift+" : "") +
         key_name(s.key);
}

const std::vector<KeyNote>& key_notes() {
  static const std::vector<KeyNote> notes = {
      {"Left, Right", "move X by 10 mm"},
      {"Down, Up", "move Y by 10 mm"},
      {"Page Down, Page Up", "move Z by 10 mm"},
      {"Shift, Ctrl with these", "by 1 mm, by 100 mm"},
      {"1 to 8", "the eight corners of the travel"},
      {"Tab", "next field; Enter takes what was typed, Escape drops it"},
      {"Drag the picture", "turn it; with Shift or the right button: shift it"},
      {"Wheel", "nearer or farther, about the pointer"},
      {"Click, double click", "choose a thing; bring it close"},
      {"Drag a handle", "move a hook, anchor, bracket or part; Alt: without snapping"},
      {"Drop a file", "a plan opens, a mesh becomes a part"},
  };
  return notes;
}

void run_pressed(const PanelContext& context) {
  const ImGuiIO& io = ImGui::GetIO();
  const bool covers =
      context.state.dialog != Dialog::none ||
      ImGui::IsPopupOpen("", ImGuiPopupFlags_AnyPopupId | ImGuiPopupFlags_AnyPopupLevel);
  // The key that closed a dialog or menu in this frame was for that alone.
  const bool covered = std::exchange(context.state.covered, covers);
  if (covers || covered) return;
  for (const Command& command : all_commands()) {
    const Shortcut& s = command.shortcut;
    // A field that is typed into keeps its letters; ctrl and function keys still work.
    const bool letter = !s.ctrl && !s.alt && !(s.key >= GLFW_KEY_F1 && s.key <= GLFW_KEY_F12);
    if (s.key == 0 || (letter && io.WantTextInput)) continue;
    // Undo inside a text field is the field's own.
    if (io.WantTextInput && s.ctrl && (s.key == GLFW_KEY_Z || s.key == GLFW_KEY_Y)) continue;
    if (s.ctrl != io.KeyCtrl || s.shift != io.KeyShift || s.alt != io.KeyAlt) continue;
    if (!ImGui::IsKeyPressed(s.key, false)) continue;
    if (command.possible && !command.possible(context)) continue;
    command.run(context);
    return;
  }
  if (!io.WantTextInput && has_plan(context)) jog(context);
}

void save_plan(const PanelContext& context) {
  editor::Editor& editor = context.editor;
  if (editor.file().empty()) {
    context.state.ask(Dialog::save_as);
    return;
  }
  const std::string problem = editor.save();
  // Saving looks at the disk: another program may have written there just now.
  if (editor.file_state() == editor::FileState::changed_both) {
    context.state.save_wanted = true;
    context.state.ask(Dialog::conflict);
    return;
  }
  context.report(problem);
  if (!problem.empty()) {
    context.state.forget_wishes();
    return;
  }
  context.tell("Saved " + editor.file().filename().string());
  go_on(context);
}

void ask_to_quit(const PanelContext& context) {
  context.state.quit_wanted = true;
  if (!context.editor.unsaved()) {
    context.state.quit = true;
  } else if (context.state.dialog != Dialog::leave) {
    context.state.ask(Dialog::leave);
  }
}

void go_on(const PanelContext& context) {
  ViewState& state = context.state;
  const std::filesystem::path file = std::exchange(state.wanted, {});
  if (state.quit_wanted) {
    state.quit = true;
  } else if (!file.empty()) {
    context.report(context.editor.open(file, std::nullopt));
    state.frame_asked = true;
  }
  state.forget_wishes();
}

void open_plan(const PanelContext& context, const std::filesystem::path& file) {
  if (context.editor.unsaved()) {
    context.state.wanted = file;
    context.state.ask(Dialog::leave);
    return;
  }
  const std::string problem = context.editor.open(file, std::nullopt);
  context.report(problem);
  if (problem.empty()) {
    context.state.dialog = Dialog::none;
    context.state.frame_asked = true;
  }
}

void step_finding(const PanelContext& context, int step) {
  const auto& findings = context.editor.findings();
  const auto listed = editor::listed_findings(findings, context.state.filter, context.state.order);
  if (listed.empty()) return;
  const auto here = std::ranges::find_if(listed, [&](std::size_t i) {
    return editor::finding_id(findings[i]) == context.editor.selected_finding();
  });
  // Round at both ends; when none is chosen, to the first or the last.
  auto next = listed.begin();
  if (step > 0 && here != listed.end() && here + 1 != listed.end()) next = here + 1;
  if (step < 0) next = (here == listed.begin() ? listed.end() : here) - 1;
  context.editor.select_finding(editor::finding_id(findings[*next]));
  context.state.scroll_to_finding = true;
  context.state.frame_asked = true;
}

}  // namespace bight::view
