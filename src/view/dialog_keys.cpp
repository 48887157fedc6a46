#include "view/dialog_keys.h"

#include <imgui.h>

#include <imgui_internal.h>

namespace bight::view {

void take_keys_for_dialog(bool dialog_is_open) {
  ImGuiIO& io = ImGui::GetIO();
  if (!dialog_is_open) {
    io.ConfigFlags &= ~ImGuiConfigFlags_NavEnableKeyboard;
    return;
  }
  io.ConfigFlags |= ImGuiConfigFlags_NavEnableKeyboard;
  const auto down = [&io](ImGuiKey key) { return io.KeysDown[ImGui::GetKeyIndex(key)]; };
  if (down(ImGuiKey_Enter) || down(ImGuiKey_KeyPadEnter)) {
    io.NavInputs[ImGuiNavInput_Activate] = 1.0F;
  }
}

void tab_through_dialog(bool dialog_is_open) {
  ImGuiContext& g = *ImGui::GetCurrentContext();
  const bool tabbing = g.NavMoveSubmitted && (g.NavMoveFlags & ImGuiNavMoveFlags_Tabbing) != 0;
  if (!dialog_is_open || !tabbing) return;
  g.NavMoveFlags |= ImGuiNavMoveFlags_FocusApi;
  if (g.NavTabbingDir == 0 && g.NavId != 0) g.NavTabbingDir = 1;
}

void show_focus() {
  ImGui::GetCurrentContext()->NavDisableHighlight = false;
}

}  // namespace bight::view
