#include "view/text_field.h"

#include <imgui.h>
#include <imgui_stdlib.h>

namespace bight::view {

std::optional<std::string> text_field(const char* id, const std::string& value, TypedText& typed,
                                      ImGuiInputTextFlags flags) {
  std::string text = value;
  ImGui::InputText(id, &text, flags | ImGuiInputTextFlags_AutoSelectAll);
  const ImGuiID item = ImGui::GetID(id);
  if (ImGui::IsItemActive()) {
    if (typed.id != item) typed = {item, text, typed.id, typed.text};
    typed.text = text;
  }
  if (!ImGui::IsItemDeactivatedAfterEdit()) return {};
  if (text == value && !ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Escape))) {
    if (typed.id == item) text = typed.text;
    if (typed.left_id == item) text = typed.left_text;
  }
  return text == value ? std::nullopt : std::optional(text);
}

}  // namespace bight::view
