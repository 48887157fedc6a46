#include "view/fitted_text.h"

#include <algorithm>
#include <cmath>

namespace bight::view {
namespace {

constexpr std::string_view k_ellipsis = "\u2026";

float width_of(std::string_view text) {
  return ImGui::CalcTextSize(text.data(), text.data() + text.size()).x;
}

bool starts_code_point(char c) {
  return (static_cast<unsigned char>(c) & 0xc0U) != 0x80U;
}

}  // namespace

std::string shortened(std::string_view text, float width) {
  if (width_of(text) <= width) return std::string(text);
  const float room = width - width_of(k_ellipsis);
  if (room < 0.0F) return {};
  std::size_t good = 0;
  std::size_t bad = text.size();
  while (bad - good > 1) {
    const std::size_t middle = good + (bad - good) / 2;
    (width_of(text.substr(0, middle)) <= room ? good : bad) = middle;
  }
  while (good > 0 && !starts_code_point(text[good])) --good;
  while (good > 0 && text[good - 1] == ' ') --good;
  return std::string(text.substr(0, good)) + std::string(k_ellipsis);
}

void fitted_text(std::string_view text, ImU32 colour, float width) {
  const float room = width > 0.0F ? width : ImGui::GetContentRegionAvail().x;
  const std::string shown = shortened(text, std::floor(room));
  ImGui::PushStyleColor(ImGuiCol_Text, colour);
  ImGui::TextUnformatted(shown.data(), shown.data() + shown.size());
  ImGui::PopStyleColor();
  if (shown.size() != text.size() && ImGui::IsItemHovered()) {
    ImGui::BeginTooltip();
    ImGui::PushTextWrapPos(ImGui::GetFontSize() * 24.0F);
    ImGui::TextUnformatted(text.data(), text.data() + text.size());
    ImGui::PopTextWrapPos();
    ImGui::EndTooltip();
  }
}

std::string tied(std::string_view text) {
  static constexpr std::string_view k_units[] = {"mm", "in", "N", "%", "s", "m", "kg", "kg/m"};
  std::string out;
  out.reserve(text.size() + 16);
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool after_digit = i > 0 && text[i - 1] >= '0' && text[i - 1] <= '9';
    if (text[i] != ' ' || !after_digit) {
      out += text[i];
      continue;
    }
    const std::string_view rest = text.substr(i + 1);
    const std::string_view word =
        rest.substr(0, std::min(rest.size(), rest.find_first_of(" ,.;:)")));
    const bool is_unit = std::ranges::find(k_units, word) != std::end(k_units);
    out += is_unit ? "\u00a0" : " ";
  }
  return out;
}

void wrapped_text(std::string_view words, ImU32 colour) {
  const std::string text = tied(words);
  ImGui::PushStyleColor(ImGuiCol_Text, colour);
  ImGui::PushTextWrapPos(0.0F);
  ImGui::TextUnformatted(text.data(), text.data() + text.size());
  ImGui::PopTextWrapPos();
  ImGui::PopStyleColor();
}

void heading(std::string_view text) {
  ImGui::Dummy({0.0F, 2.0F});
  fitted_text(text, ImGui::GetColorU32(ImGuiCol_Text));
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float y = std::floor(at.y - ImGui::GetStyle().ItemSpacing.y * 0.5F) + 0.5F;
  ImGui::GetWindowDrawList()->AddLine({at.x, y}, {at.x + ImGui::GetContentRegionAvail().x, y},
                                      ImGui::GetColorU32(ImGuiCol_Separator));
  ImGui::Dummy({0.0F, 1.0F});
}

}  // namespace bight::view
