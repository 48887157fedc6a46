#include <imgui.h>
#include <imgui_stdlib.h>

#include <algorithm>
#include <cctype>
#include <cmath>

#include "plan/document.h"
#include "view/element_words.h"
#include "view/fitted_text.h"
#include "view/key_form.h"
#include "view/panels.h"

namespace bight::view {
namespace {

std::string lower(std::string text) {
  std::ranges::transform(text, text.begin(),
                         [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return text;
}

bool matches(const plan::Element& element, const std::string& filter) {
  return filter.empty() || lower(element.path).find(lower(filter)) != std::string::npos;
}

std::string group_name(const plan::KeyTable& table) {
  std::string name = table.path;
  std::ranges::replace(name, '_', ' ');
  return name;
}

/// What stands at a key, for a tooltip of the list.
std::string first_words(const plan::Element& element) {
  for (const plan::KeyState& key : element.keys) {
    if (key.origin == plan::Origin::absent || key.key->name == "name") continue;
    return key.key->name + " " + key.value;
  }
  return {};
}

void element_row(const PanelContext& context, const plan::Element& element, float indent) {
  const bool chosen =
      element.path.empty() ? context.state.top_chosen : element.path == context.editor.selected();
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float width = ImGui::GetContentRegionAvail().x;
  const float height = ImGui::GetTextLineHeight() + context.em * 0.25F;
  if (ImGui::InvisibleButton(("element " + element.path).c_str(), {width, height})) {
    context.state.top_chosen = element.path.empty();
    context.editor.select(element.path);
    context.state.frame_asked = !context.editor.selected_thing().empty();
  }
  if (chosen && context.state.listed_element != element.path) {
    context.state.listed_element = element.path;
    if (!ImGui::IsItemVisible()) ImGui::SetScrollHereY(0.4F);
  }
  const bool hovered = ImGui::IsItemHovered();
  if (hovered) context.point_at(element.name);
  ImDrawList* draw = ImGui::GetWindowDrawList();
  if (chosen || hovered || context.is_hovered(element.name)) {
    draw->AddRectFilled(at, {at.x + width, at.y + height},
                        chosen ? context.palette.accent_soft : context.palette.well);
  }
  const std::string text = shortened(element_label(element), width - indent - context.em * 0.4F);
  draw->AddText({at.x + indent, at.y + context.em * 0.1F},
                element.in_file ? context.palette.ink : context.palette.faint, text.c_str());
  if (hovered) {
    const std::string words = element.path.empty() ? element.table->meaning : first_words(element);
    ImGui::SetTooltip("%s%s%s", element_label(element).c_str(), words.empty() ? "" : "\n",
                      words.c_str());
  }
}

struct TableGroup {
  const plan::KeyTable* table = nullptr;
  std::vector<const plan::Element*> elements;
};

/// Elements by their table; what stands inside another element stays behind it.
std::vector<TableGroup> groups(const plan::Document& document, const std::string& filter) {
  std::vector<TableGroup> all;
  for (const plan::Element& element : document.elements) {
    if (!matches(element, filter)) continue;
    const std::string root = element.parent.empty()
                                 ? element.table->path
                                 : element.path.substr(0, element.path.find('.'));
    const auto same = [&](const TableGroup& g) { return g.table->path == root; };
    auto group = std::ranges::find_if(all, same);
    if (group == all.end()) {
      all.push_back({element.table, {}});
      group = all.end() - 1;
    }
    group->elements.push_back(&element);
  }
  return all;
}

/// A triangle that points down where a group is open, else to the right.
void open_mark(ImDrawList* draw, ImVec2 centre, float r, bool open, ImU32 colour) {
  if (open) {
    draw->AddTriangleFilled({centre.x - r, centre.y - r * 0.6F},
                            {centre.x + r, centre.y - r * 0.6F}, {centre.x, centre.y + r * 0.8F},
                            colour);
  } else {
    draw->AddTriangleFilled({centre.x - r * 0.6F, centre.y - r},
                            {centre.x - r * 0.6F, centre.y + r}, {centre.x + r * 0.8F, centre.y},
                            colour);
  }
}

void element_list(const PanelContext& context, const plan::Document& document) {
  ViewState& state = context.state;
  // What was chosen in the picture is found in the list, too.
  const std::string& selected = context.editor.selected();
  if (!selected.empty() && selected != state.listed_element) {
    state.open_table = selected.substr(0, selected.find('.'));
  }
  for (const TableGroup& group : groups(document, state.element_filter)) {
    if (!group.table->repeated) {
      for (const plan::Element* element : group.elements) element_row(context, *element, 0.0F);
      continue;
    }
    const std::string& name = group.table->path;
    const bool open = !state.element_filter.empty() || state.open_table == name;
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const float width = ImGui::GetContentRegionAvail().x;
    const float height = ImGui::GetTextLineHeight() + context.em * 0.25F;
    if (ImGui::InvisibleButton(("group " + name).c_str(), {width, height})) {
      state.open_table = open ? "" : name;
    }
    ImDrawList* draw = ImGui::GetWindowDrawList();
    if (ImGui::IsItemHovered()) {
      draw->AddRectFilled(at, {at.x + width, at.y + height}, context.palette.well);
      ImGui::SetTooltip("%s", group.table->meaning.c_str());
    }
    const auto count = static_cast<std::size_t>(std::ranges::count_if(
        group.elements, [](const plan::Element* e) { return e->parent.empty(); }));
    open_mark(draw, {at.x + context.em * 0.35F, at.y + height * 0.5F}, context.em * 0.28F, open,
              context.palette.accent);
    const float y = at.y + context.em * 0.1F;
    const std::string number = std::to_string(count);
    const float number_width = ImGui::CalcTextSize(number.c_str()).x + context.em * 0.3F;
    const float left = context.em * 0.9F;
    draw->AddText({at.x + left, y}, context.palette.accent,
                  shortened(group_name(*group.table), width - left - number_width).c_str());
    draw->AddText({at.x + width - number_width, y}, context.palette.faint, number.c_str());
    if (!open) continue;
    for (const plan::Element* element : group.elements) {
      element_row(context, *element, context.em * (element->parent.empty() ? 1.6F : 2.6F));
    }
  }
}

/// A button behind the last one, or below it where the line has no room left.
bool next_button(const char* label) {
  const ImGuiStyle& style = ImGui::GetStyle();
  const float width = ImGui::CalcTextSize(label).x + 2.0F * style.FramePadding.x;
  const float right = ImGui::GetWindowPos().x + ImGui::GetWindowContentRegionMax().x;
  if (ImGui::GetItemRectMax().x + style.ItemSpacing.x + width <= right) ImGui::SameLine();
  return ImGui::Button(label);
}

/// Legs of a run and the like have an order, which can be changed.
void list_order(const PanelContext& context) {
  const plan::Element* element =
      plan::find_element(context.editor.document(), context.editor.selected());
  if (element == nullptr || element->number == 0 || element->parent.empty()) return;
  const std::string path = element->path;  // an edit replaces the document that it is of
  const std::string list = path.substr(0, path.rfind('.') + 1);
  const std::size_t number = element->number;
  const auto step = [&](const char* label, const char* what, std::size_t to) {
    const bool there =
        plan::find_element(context.editor.document(), list + std::to_string(to)) != nullptr;
    ImGui::BeginDisabled(!there);
    if (next_button(label)) {
      context.report(context.editor.apply(editor::MoveElement{path, to}));
      context.editor.select(list + std::to_string(to));
    }
    ImGui::EndDisabled();
    if (ImGui::IsItemHovered()) ImGui::SetTooltip("%s", what);
  };
  step("Up", "Earlier in its list", number - 1);
  step("Down", "Later in its list", number + 1);
}

void actions(const PanelContext& context) {
  const bool chosen = !context.editor.selected().empty();
  if (ImGui::Button("Add")) context.state.ask(Dialog::add_element);
  ImGui::BeginDisabled(!chosen);
  if (next_button("Duplicate")) {
    context.report(context.editor.apply(editor::DuplicateElement{context.editor.selected(), {}}));
  }
  if (next_button("Rename")) context.state.ask(Dialog::rename);
  if (next_button("Remove")) {
    context.report(context.editor.apply(editor::RemoveElement{context.editor.selected()}));
  }
  list_order(context);
  const std::string thing = context.editor.selected_thing();
  if (!thing.empty()) {
    const bool hidden = context.editor.hidden().contains(thing);
    if (next_button(hidden ? "Show" : "Hide")) context.editor.set_hidden(thing, !hidden);
  }
  ImGui::EndDisabled();
}

}  // namespace

void plan_panel(const PanelContext& context, const Area& area) {
  if (area.empty()) return;
  begin_sheet("Plan", context, area, ImGuiWindowFlags_NoScrollbar);
  const plan::Document& document = context.editor.document();
  if (context.editor.text().empty()) {
    wrapped_text("No plan is open.", context.palette.faint);
    end_sheet();
    return;
  }
  if (!document.problem.empty()) {
    wrapped_text("The file cannot be read; mend it with a text editor. " + document.problem,
                 context.palette.stop);
    end_sheet();
    return;
  }
  ImGui::SetNextItemWidth(ImGui::GetContentRegionAvail().x);
  ImGui::InputTextWithHint("##elements", "find an element", &context.state.element_filter);
  actions(context);
  // A tall page has the list above the form; the form gets the larger part once something is
  // chosen.
  if (!context.editor.selected().empty()) context.state.top_chosen = false;
  const plan::Element* element = plan::find_element(document, context.editor.selected());
  const bool chosen =
      element != nullptr && (!context.editor.selected().empty() || context.state.top_chosen);
  const float rest = ImGui::GetContentRegionAvail().y;
  ImGui::BeginChild("elements", {0.0F, chosen ? std::floor(rest * 0.36F) : rest});
  element_list(context, document);
  ImGui::EndChild();
  if (chosen) key_form(context, *element);
  end_sheet();
}

}  // namespace bight::view
