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

/// Bytes of the longest beginning that fits, at least one code point.
std::size_t fitting(std::string_view text, float width) {
  if (width_of(text) <= width) return text.size();
  std::size_t fits = 0;
  for (std::size_t i = 1; i <= text.size(); ++i) {
    if (i < text.size() && !starts_code_point(text[i])) continue;
    if (fits > 0 && width_of(text.substr(0, i)) > width) break;
    fits = i;
  }
  return fits;
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
  static constexpr std::string_view k_units[] = {"mm",  "in", "N m^2", "N",    "%",   "s",
                                                 "m",   "kg", "kg/m",  "mm^2", "deg", "mm/s",
                                                 "m/s", "Hz", "V",     "A"};
  static constexpr std::string_view k_space = "\u00a0";
  std::string out;
  out.reserve(text.size() + 16);
  for (std::size_t i = 0; i < text.size(); ++i) {
    out += text[i];
    const bool digit = text[i] >= '0' && text[i] <= '9';
    if (!digit || i + 1 >= text.size() || text[i + 1] != ' ') continue;
    const std::string_view rest = text.substr(i + 2);
    const auto unit = std::ranges::find_if(k_units, [&](std::string_view u) {
      const bool ends = rest.size() == u.size() ||
                        (rest.size() > u.size() &&
                         std::string_view(" ,.;:)").find(rest[u.size()]) != std::string_view::npos);
      return rest.starts_with(u) && ends;
    });
    if (unit == std::end(k_units)) continue;
    out += k_space;
    for (const char c : *unit) out += c == ' ' ? std::string(k_space) : std::string(1, c);
    i += 1 + unit->size();
  }
  return out;
}

std::string broken_into_lines(std::string_view text, float width) {
  std::string out;
  std::string line;
  const auto end_line = [&] {
    out += line + '\n';
    line.clear();
  };
  const auto add_word = [&](std::string_view word) {
    const std::string longer = line.empty() ? std::string(word) : line + " " + std::string(word);
    if (line.empty() || width_of(longer) <= width) {
      line = longer;
    } else {
      end_line();
      line = word;
    }
    for (std::size_t most = fitting(line, width); most < line.size(); most = fitting(line, width)) {
      const std::string rest = line.substr(most);
      line.resize(most);
      end_line();
      line = rest;
    }
  };
  while (true) {
    const std::size_t end = text.find_first_of(" \n");
    add_word(text.substr(0, end));
    if (end == std::string_view::npos) break;
    if (text[end] == '\n') end_line();
    text.remove_prefix(end + 1);
  }
  return out + line;
}

void wrapped_text(std::string_view words, ImU32 colour) {
  const std::string text = broken_into_lines(tied(words), ImGui::GetContentRegionAvail().x);
  ImGui::PushStyleColor(ImGuiCol_Text, colour);
  ImGui::TextUnformatted(text.data(), text.data() + text.size());
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
