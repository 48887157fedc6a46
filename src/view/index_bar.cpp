#include <algorithm>
#include <cmath>

#include "view/fitted_text.h"
#include "view/panels.h"
#include "view/severity_mark.h"

namespace bight::view {
namespace {

constexpr const char* k_names[k_pages] = {"Findings", "Travel",  "Plan",  "Section",
                                          "Lengths",  "Compare", "Hooks", "Curves"};

}  // namespace

/// The pages as index tabs at the right edge, like those of a ring binder.
void index_bar(const PanelContext& context) {
  const Area& area = context.layout.index;
  if (area.empty()) return;
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, {0.0F, 0.0F});
  begin_sheet("Index", context, area, ImGuiWindowFlags_NoBackground | ImGuiWindowFlags_NoScrollbar);
  ImGui::PopStyleVar();
  ImDrawList* draw = ImGui::GetWindowDrawList();
  const float height = std::floor(std::min(context.em * 2.4F, area.height / k_pages - 2.0F));
  float y = area.y;
  for (int i = 0; i < k_pages; ++i) {
    const auto page = static_cast<Page>(i);
    if (!listed(context.layout, page)) continue;
    const bool chosen = context.state.page == page;
    ImGui::SetCursorScreenPos({area.x, y});
    if (ImGui::InvisibleButton((std::string("page ") + k_names[i]).c_str(),
                               {area.width, std::max(1.0F, height)})) {
      context.state.page = page;
    }
    const bool hovered = ImGui::IsItemHovered();
    const float right = area.x + area.width - (chosen ? 0.0F : std::round(context.em * 0.5F));
    draw->AddRectFilled({area.x, y}, {right, y + height},
                        chosen    ? context.palette.sheet
                        : hovered ? context.palette.accent_soft
                                  : with_alpha(context.palette.sheet, 0.55F),
                        context.em * 0.3F, ImDrawFlags_RoundCornersRight);
    if (chosen) {
      draw->AddRectFilled({right - std::max(2.0F, context.em * 0.18F), y}, {right, y + height},
                          context.palette.accent);
    }
    const float room = area.width - context.em * 1.1F;
    const std::string label = shortened(k_names[i], room);
    draw->AddText({std::floor(area.x + context.em * 0.5F),
                   std::floor(y + (height - ImGui::GetFontSize()) * 0.5F)},
                  chosen ? context.palette.ink : context.palette.faint, label.c_str());
    y += height + std::round(context.em * 0.2F);
  }
  end_sheet();
}

}  // namespace bight::view
