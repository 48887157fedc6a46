#include "view/number_field.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "base/number.h"
#include "view/fitted_text.h"

namespace bight::view {

std::string trimmed(double value, int decimals) {
  std::string text = fixed(value, decimals);
  if (text.find('.') == std::string::npos) return text;
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text == "-0" ? "0" : text;
}

std::optional<double> typed_number(const std::string& text, const std::string& unit,
                                   bool is_length) {
  std::string_view rest = text;
  const auto trim = [](std::string_view t) {
    while (!t.empty() && t.front() == ' ') t.remove_prefix(1);
    while (!t.empty() && t.back() == ' ') t.remove_suffix(1);
    return t;
  };
  rest = trim(rest);
  static constexpr std::array<std::pair<std::string_view, double>, 5> k_units = {
      {{"mm", 1.0}, {"cm", 10.0}, {"in", 25.4}, {"\"", 25.4}, {"m", 1000.0}}};
  double factor = 1.0;
  double per_unit = 1.0;
  if (is_length) {
    for (const auto& [name, mm] : k_units) {
      if (!rest.ends_with(name)) continue;
      rest = trim(rest.substr(0, rest.size() - name.size()));
      factor = mm;
      per_unit = unit == "in" ? k_mm_per_inch : 1.0;
      break;
    }
  } else if (!unit.empty() && rest.ends_with(unit)) {
    rest = trim(rest.substr(0, rest.size() - unit.size()));
  }
  std::string number(rest);
  // A comma as it is written in much of the world; points are never thousands here.
  if (std::ranges::count(number, ',') == 1 && number.find('.') == std::string::npos) {
    number[number.find(',')] = '.';
  }
  const auto value = parse_number(number);
  return value ? std::optional(*value * factor / per_unit) : std::nullopt;
}

std::optional<double> number_field(const char* id, double value, const NumberField& field,
                                   const Palette& palette, TypedText& typed) {
  const float gap = ImGui::GetStyle().ItemInnerSpacing.x;
  const float unit_width =
      field.unit.empty() ? 0.0F : ImGui::CalcTextSize(field.unit.c_str()).x + gap;
  const float whole = field.width > 0.0F ? field.width : ImGui::GetContentRegionAvail().x;
  ImGui::SetNextItemWidth(std::max(ImGui::GetFontSize() * 2.5F, whole - unit_width));
  const std::string text = std::isfinite(value) ? trimmed(value, field.decimals) : std::string("-");
  const auto done = text_field(id, text, typed);
  if (!field.unit.empty()) {
    ImGui::SameLine(0.0F, gap);
    ImGui::AlignTextToFramePadding();
    ImGui::PushStyleColor(ImGuiCol_Text, palette.faint);
    ImGui::TextUnformatted(field.unit.c_str());
    ImGui::PopStyleColor();
  }
  return done ? typed_number(*done, field.unit, field.is_length) : std::nullopt;
}

}  // namespace bight::view
