// The dialog that adds an element to the plan, or into the element that is chosen.

#include <imgui.h>
#include <imgui_stdlib.h>

#include <algorithm>

#include "plan/keys.h"
#include "view/dialog_state.h"
#include "view/fitted_text.h"

namespace bight::view {
namespace {

/// The element that one of this table would go into: the chosen one or what that stands in.
/// Nothing for a table that stands in none.
const plan::Element* parent_for(const PanelContext& context, const plan::KeyTable& table) {
  const auto dot = table.path.rfind('.');
  if (dot == std::string::npos) return nullptr;
  const plan::Document& document = context.editor.document();
  const plan::Element* element = plan::find_element(document, context.editor.selected());
  while (element != nullptr && element->table->path != table.path.substr(0, dot)) {
    element = element->parent.empty() ? nullptr : plan::find_element(document, element->parent);
  }
  return element;
}

bool offered(const PanelContext& context, const plan::KeyTable& table) {
  if (!table.repeated || table.path == "option") return false;
  const bool inner = table.path.find('.') != std::string::npos;
  return !inner || parent_for(context, table) != nullptr;
}

std::string label_of(const PanelContext& context, const plan::KeyTable& table) {
  const plan::Element* parent = parent_for(context, table);
  if (parent == nullptr) return table.path;
  return table.path.substr(table.path.rfind('.') + 1) + " of " + parent->name;
}

void table_row(const PanelContext& context, DialogState& state, const plan::KeyTable& table) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float whole = ImGui::GetContentRegionAvail().x;
  const float column = std::max(context.em * 6.6F, whole * 0.26F);
  const std::string meaning = broken_into_lines(table.meaning, whole - column);
  const float height = ImGui::CalcTextSize(meaning.c_str()).y;
  if (ImGui::Selectable(("##" + table.path).c_str(), state.table == table.path,
                        ImGuiSelectableFlags_DontClosePopups, {0.0F, height})) {
    state.table = table.path;
  }
  ImDrawList* draw = ImGui::GetWindowDrawList();
  draw->AddText(at, context.palette.ink,
                shortened(label_of(context, table), column - context.em * 0.4F).c_str());
  draw->AddText({at.x + column, at.y}, context.palette.faint, meaning.c_str());
}

}  // namespace

bool add_element_dialog(const PanelContext& context, DialogState& state) {
  wrapped_text("What is to be added?", context.palette.ink);
  ImGui::BeginChild("tables", {0.0F, ImGui::GetContentRegionAvail().y - context.em * 6.2F}, true,
                    ImGuiWindowFlags_NavFlattened);
  const auto& tables = plan::all_key_tables();
  // What fits into the chosen element comes first.
  for (const bool inner : {true, false}) {
    for (const plan::KeyTable& table : tables) {
      if (offered(context, table) && inner == (table.path.find('.') != std::string::npos)) {
        table_row(context, state, table);
      }
    }
  }
  ImGui::EndChild();
  const auto table = std::ranges::find(tables, state.table, &plan::KeyTable::path);
  const bool named = table != tables.end() && table->named;
  ImGui::BeginDisabled(!named);
  ImGui::SetNextItemWidth(ImGui::GetContentRegionAvail().x);
  const bool entered =
      ImGui::InputTextWithHint("##name", "name", &state.name, ImGuiInputTextFlags_EnterReturnsTrue);
  ImGui::EndDisabled();
  if (!state.problem.empty()) wrapped_text(state.problem, context.palette.stop);
  const bool ready = table != tables.end() && (!named || !state.name.empty());
  ImGui::BeginDisabled(!ready);
  const bool pressed = ImGui::Button("Add it");
  ImGui::EndDisabled();
  ImGui::SameLine();
  if (ImGui::Button("Go back")) return true;
  if (!ready || !(entered || pressed)) return false;
  plan::NewElement element{.table = state.table};
  if (const plan::Element* parent = parent_for(context, *table)) element.parent = parent->path;
  if (named) element.values = {{"name", plan::toml_text(state.name)}};
  state.problem = context.editor.apply(editor::AddElement{element});
  if (!state.problem.empty()) return false;
  if (named) context.editor.select(state.table + "." + state.name);
  context.state.page = Page::plan;
  return true;
}

}  // namespace bight::view
