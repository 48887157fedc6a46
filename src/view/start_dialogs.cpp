// Dialogs of the beginning: recent and demo plans, a new plan, settings, the list of keys.

#include <imgui.h>
#include <imgui_stdlib.h>

#include <algorithm>
#include <cmath>

#include "base/file.h"
#include "base/number.h"
#include "base/tolerance.h"
#include "base/units.h"
#include "view/commands.h"
#include "view/dialog_state.h"
#include "view/fitted_text.h"
#include "view/number_field.h"

namespace bight::view {
namespace fs = std::filesystem;

std::vector<fs::path> find_demo_plans() {
  std::error_code error;
  std::vector<fs::path> folders;
  const fs::path program = fs::read_symlink("/proc/self/exe", error).parent_path();
  if (!error) {
    folders.push_back(program / "../share/bight/demo");
    // Built from source: the build folder lies within the source tree.
    for (fs::path folder = program; folder.has_relative_path(); folder = folder.parent_path()) {
      folders.push_back(folder / "assets/demo");
    }
  }
  for (const fs::path& folder : folders) {
    std::vector<fs::path> plans;
    for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
      if (it->path().extension() == ".toml") plans.push_back(fs::weakly_canonical(it->path()));
    }
    error.clear();
    std::ranges::sort(plans);
    // The one that shows most comes first.
    std::stable_partition(plans.begin(), plans.end(),
                          [](const fs::path& p) { return p.filename() == "plan.toml"; });
    if (!plans.empty()) return plans;
  }
  return {};
}

std::vector<PlanCard> plan_cards(const std::vector<fs::path>& files) {
  std::vector<PlanCard> cards;
  for (const fs::path& file : files) {
    const FileText text = read_file(file, k_plan_bytes_limit);
    cards.push_back({file, text.text ? plan::title_of(*text.text) : plan::Title{}});
  }
  return cards;
}

namespace {

/// Share of a line of questions that their labels have.
constexpr float k_label_share = 0.55F;

/// A plan as one item: its name, its file, what it is about.
bool plan_row(const PanelContext& context, const PlanCard& card, const char* kind,
              bool with_folder) {
  const std::string file = card.file.filename().string();
  const std::string about =
      with_folder && card.title.about.empty() ? card.file.parent_path().string() : card.title.about;
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float width = ImGui::GetContentRegionAvail().x;
  const float line = ImGui::GetTextLineHeight();
  const float height = line * 2.0F + context.em * 0.5F;
  const bool pressed = ImGui::InvisibleButton(
      (std::string(kind) + " " + file + "##" + card.file.string()).c_str(), {width, height});
  ImDrawList* draw = ImGui::GetWindowDrawList();
  if (ImGui::IsItemHovered()) {
    draw->AddRectFilled(at, {at.x + width, at.y + height}, context.palette.accent_soft);
    ImGui::SetTooltip("%s", card.file.string().c_str());
  }
  const float inset = context.em * 0.5F;
  const float room = width - 2.0F * inset;
  const std::string name = shortened(card.title.name.empty() ? file : card.title.name, room);
  draw->AddText({at.x + inset, at.y + context.em * 0.2F}, context.palette.ink, name.c_str());
  const float used = ImGui::CalcTextSize(name.c_str()).x + context.em;
  ImGui::PushFont(context.fonts.small);
  if (!card.title.name.empty()) {
    const std::string where = with_folder ? card.file.string() : file;
    draw->AddText({at.x + inset + used, at.y + context.em * 0.3F}, context.palette.faint,
                  shortened(where, room - used).c_str());
  }
  draw->AddText({at.x + inset, at.y + context.em * 0.25F + line}, context.palette.faint,
                shortened(about, room).c_str());
  ImGui::PopFont();
  return pressed;
}

/// A length of the starter plan in the unit that is shown.
void length_row(const PanelContext& context, const char* label, double& mm) {
  const LengthUnit unit = context.unit();
  const double factor = unit == LengthUnit::inch ? 1.0 / k_mm_per_inch : 1.0;
  ImGui::PushID(label);
  ImGui::AlignTextToFramePadding();
  const float width = ImGui::GetContentRegionAvail().x;
  fitted_text(label, context.palette.ink, width * k_label_share - context.em);
  ImGui::SameLine(width * k_label_share);
  const auto typed = number_field((std::string("##") + label).c_str(), mm * factor,
                                  {.unit = unit == LengthUnit::inch ? "in" : "mm",
                                   .is_length = true,
                                   .decimals = unit == LengthUnit::inch ? 3 : 1},
                                  context.palette, context.state.typed);
  if (typed) mm = *typed / factor;
  ImGui::PopID();
}

}  // namespace

bool start_dialog(const PanelContext& context, DialogState& state) {
  wrapped_text("What reaches, what collides, which bend is too tight, how long each line must be.",
               context.palette.faint);
  if (ImGui::Button("New plan")) {
    context.state.ask(Dialog::new_plan);
    return true;
  }
  ImGui::SameLine();
  if (ImGui::Button("Open a file")) {
    context.state.ask(Dialog::open);
    return true;
  }
  ImGui::SameLine();
  if (ImGui::Button("Keys and mouse")) {
    context.state.ask(Dialog::shortcuts);
    return true;
  }
  ImGui::BeginChild("plans", {}, false, ImGuiWindowFlags_NavFlattened);
  std::optional<fs::path> chosen;
  heading("Recent plans");
  if (state.recent.empty()) wrapped_text("None yet.", context.palette.faint);
  for (const PlanCard& card : state.recent) {
    if (plan_row(context, card, "recent", true)) chosen = card.file;
  }
  heading("Demo plans");
  if (state.demos.empty())
    wrapped_text("None were found beside the program.", context.palette.faint);
  for (const PlanCard& card : state.demos) {
    if (plan_row(context, card, "demo", false)) chosen = card.file;
  }
  ImGui::EndChild();
  if (chosen) {
    context.state.dialog = Dialog::none;
    open_plan(context, *chosen);
    return context.state.dialog == Dialog::none;
  }
  return false;
}

bool new_plan_dialog(const PanelContext& context, DialogState& state) {
  plan::StarterAnswers& a = state.answers;
  wrapped_text("A few measures to start from; all can be changed later.", context.palette.faint);
  ImGui::BeginChild("answers", {0.0F, ImGui::GetContentRegionAvail().y - context.em * 2.4F}, false,
                    ImGuiWindowFlags_NavFlattened);
  ImGui::AlignTextToFramePadding();
  const float width = ImGui::GetContentRegionAvail().x;
  fitted_text("name", context.palette.ink, width * k_label_share - context.em);
  ImGui::SameLine(width * k_label_share);
  ImGui::SetNextItemWidth(ImGui::GetContentRegionAvail().x);
  if (ImGui::IsWindowAppearing()) ImGui::SetKeyboardFocusHere();
  ImGui::InputText("##name", &a.name);
  length_row(context, "travel along X", a.travel.x);
  length_row(context, "travel along Y", a.travel.y);
  length_row(context, "travel along Z", a.travel.z);
  length_row(context, "bed, X", a.bed_size.x);
  length_row(context, "bed, Y", a.bed_size.y);
  length_row(context, "bed above the floor", a.bed_height);
  length_row(context, "clear height under the beam", a.clear_height);
  length_row(context, "ceiling above the floor", a.ceiling_height);
  length_row(context, "router, diameter", a.router_diameter);
  length_row(context, "router, length", a.router_length);
  length_row(context, "tool, diameter", a.tool_diameter);
  length_row(context, "tool, length", a.tool_length);
  ImGui::Checkbox("the bed moves along Y, not the gantry", &a.moving_table);
  bool hook = a.supply == plan::SupplyWay::hook;
  if (ImGui::Checkbox("the router's cord hangs from a hook", &hook)) {
    a.supply = hook ? plan::SupplyWay::hook : plan::SupplyWay::chains;
  }
  if (!state.problem.empty()) wrapped_text(state.problem, context.palette.stop);
  ImGui::EndChild();
  const bool make = ImGui::Button("Make the plan");
  ImGui::SameLine();
  if (ImGui::Button("Go back")) return true;
  if (!make) return false;
  state.problem = context.editor.start_new(a);
  context.state.frame_asked = true;
  return state.problem.empty();
}

bool settings_dialog(const PanelContext& context, DialogState&) {
  editor::Settings settings = context.editor.settings();
  bool changed = false;
  heading("Unit of lengths");
  const auto unit = [&](const char* label, std::optional<LengthUnit> value) {
    if (ImGui::RadioButton(label, settings.unit == value)) {
      settings.unit = value;
      changed = true;
    }
  };
  unit("as the plan", {});
  ImGui::SameLine();
  unit("mm", LengthUnit::mm);
  ImGui::SameLine();
  unit("in", LengthUnit::inch);
  heading("Colours");
  if (ImGui::RadioButton("day", settings.scheme == editor::Scheme::light)) {
    settings.scheme = editor::Scheme::light;
    changed = true;
  }
  ImGui::SameLine();
  if (ImGui::RadioButton("night", settings.scheme == editor::Scheme::dark)) {
    settings.scheme = editor::Scheme::dark;
    changed = true;
  }
  heading("Size of text and controls");
  const auto scale = [&](const char* label, double value) {
    if (ImGui::RadioButton(label, settings.ui_scale == value)) {
      settings.ui_scale = value;
      changed = true;
    }
    ImGui::SameLine();
  };
  scale("as the screen", 0.0);
  scale("1\u00d7", 1.0);
  scale("1.5\u00d7", 1.5);
  scale("2\u00d7", 2.0);
  ImGui::NewLine();
  heading("Dragging");
  ImGui::AlignTextToFramePadding();
  fitted_text("snap to steps of", context.palette.ink, context.em * 9.0F);
  ImGui::SameLine(context.em * 10.0F);
  const bool inch = context.unit() == LengthUnit::inch;
  const double factor = inch ? 1.0 / k_mm_per_inch : 1.0;
  const auto step = number_field(
      "##snap", settings.snap_mm * factor,
      {.unit = inch ? "in" : "mm", .is_length = true, .decimals = 3, .width = context.em * 8.0F},
      context.palette, context.state.typed);
  if (step && *step >= 0.0) {
    settings.snap_mm = *step / factor;
    changed = true;
  }
  if (changed) context.editor.set_settings(settings);
  ImGui::Dummy({0.0F, context.em * 0.3F});
  return ImGui::Button("Done");
}

bool shortcuts_dialog(const PanelContext& context) {
  ImGui::BeginChild("keys", {0.0F, ImGui::GetContentRegionAvail().y - context.em * 2.4F}, false,
                    ImGuiWindowFlags_NavFlattened);
  const float room = ImGui::GetContentRegionAvail().x;
  const float key_column = std::min(context.em * 13.0F, room * 0.42F);
  const auto line = [&](const std::string& keys, const std::string& what) {
    fitted_text(keys, context.palette.accent, key_column - context.em * 0.5F);
    ImGui::SameLine(key_column);
    wrapped_text(what, context.palette.ink);
  };
  std::string group;
  for (const Command& command : all_commands()) {
    if (command.shortcut.key == 0 || command.name.starts_with("Corner ")) continue;
    if (command.group != group) heading(group = command.group);
    line(to_text(command.shortcut), command.name);
  }
  heading("Moving and pointing");
  for (const KeyNote& note : key_notes()) line(note.keys, note.what);
  ImGui::EndChild();
  return ImGui::Button("Done");
}

}  // namespace bight::view
