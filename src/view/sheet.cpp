#include "view/panel_context.h"

namespace bight::view {

bool begin_sheet(const char* name, const PanelContext& context, const Area& area,
                 ImGuiWindowFlags flags) {
  ImGui::SetNextWindowPos({area.x, area.y});
  ImGui::SetNextWindowSize({area.width, area.height});
  ImGui::PushStyleColor(ImGuiCol_WindowBg, context.palette.sheet);
  const bool open = ImGui::Begin(
      name, nullptr,
      flags | ImGuiWindowFlags_NoTitleBar | ImGuiWindowFlags_NoResize | ImGuiWindowFlags_NoMove |
          ImGuiWindowFlags_NoCollapse | ImGuiWindowFlags_NoSavedSettings |
          ImGuiWindowFlags_NoBringToFrontOnFocus | ImGuiWindowFlags_NoNavFocus);
  ImGui::PopStyleColor();
  return open;
}

void end_sheet() {
  ImGui::End();
}

}  // namespace bight::view
