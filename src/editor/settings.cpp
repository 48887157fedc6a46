#include "editor/settings.h"

#include <algorithm>
#include <cstdlib>
#include <string_view>

#include "base/file.h"
#include "base/number.h"

namespace bight::editor {
namespace {

constexpr std::size_t k_settings_bytes_limit = 1U << 16U;
constexpr const char* k_file = "settings";

std::filesystem::path folder_of(const char* variable, const char* below_home) {
  // A relative path in the variable is to be ignored (XDG Base Directory Specification, Basics).
  const char* value = std::getenv(variable);
  if (value != nullptr && std::filesystem::path(value).is_absolute()) {
    return std::filesystem::path(value) / "bight";
  }
  const char* home = std::getenv("HOME");
  if (home == nullptr || !std::filesystem::path(home).is_absolute()) return {};
  return std::filesystem::path(home) / below_home / "bight";
}

std::optional<double> number_between(std::string_view text, double low, double high) {
  const auto value = parse_number(text);
  return value && *value >= low && *value <= high ? value : std::nullopt;
}

void read_line(std::string_view key, std::string_view value, Settings& settings) {
  constexpr double k_scale_limit = 8.0;
  constexpr double k_snap_limit = 1000.0;
  constexpr double k_speed_limit = 100.0;
  if (key == "unit" && value == "mm") settings.unit = LengthUnit::mm;
  if (key == "unit" && value == "in") settings.unit = LengthUnit::inch;
  if (key == "scheme" && value == "dark") settings.scheme = Scheme::dark;
  if (key == "scheme" && value == "light") settings.scheme = Scheme::light;
  if (key == "ui_scale") {
    settings.ui_scale = number_between(value, 0.0, k_scale_limit).value_or(settings.ui_scale);
  }
  if (key == "snap_mm") {
    settings.snap_mm = number_between(value, 0.0, k_snap_limit).value_or(settings.snap_mm);
  }
  if (key == "tour_speed") {
    settings.tour_speed = number_between(value, 0.0, k_speed_limit).value_or(settings.tour_speed);
  }
  if (key == "recent" && !value.empty() && settings.recent.size() < k_recent_limit) {
    settings.recent.emplace_back(value);
  }
}

}  // namespace

Folders user_folders() {
  return {folder_of("XDG_CONFIG_HOME", ".config"), folder_of("XDG_STATE_HOME", ".local/state")};
}

Settings load_settings(const std::filesystem::path& folder) {
  Settings settings;
  if (folder.empty()) return settings;
  const FileText file = read_file(folder / k_file, k_settings_bytes_limit);
  if (!file.text) return settings;
  std::string_view rest = *file.text;
  while (!rest.empty()) {
    const std::size_t end = std::min(rest.find('\n'), rest.size());
    const std::string_view line = rest.substr(0, end);
    const std::size_t equals = line.find('=');
    if (equals != std::string_view::npos) {
      read_line(line.substr(0, equals), line.substr(equals + 1), settings);
    }
    rest.remove_prefix(std::min(end + 1, rest.size()));
  }
  return settings;
}

std::string save_settings(const std::filesystem::path& folder, const Settings& settings) {
  if (folder.empty()) return {};
  std::error_code error;
  std::filesystem::create_directories(folder, error);
  if (error) return "cannot make " + folder.string() + ": " + error.message();
  std::string text;
  if (settings.unit) {
    text += std::string("unit=") + (*settings.unit == LengthUnit::inch ? "in" : "mm") + "\n";
  }
  text += std::string("scheme=") + (settings.scheme == Scheme::dark ? "dark" : "light") + "\n";
  text += "ui_scale=" + shortest(settings.ui_scale) + "\n";
  text += "snap_mm=" + shortest(settings.snap_mm) + "\n";
  text += "tour_speed=" + shortest(settings.tour_speed) + "\n";
  for (const std::string& file : settings.recent) {
    if (file.find('\n') == std::string::npos) text += "recent=" + file + "\n";
  }
  return save_file(folder / k_file, text);
}

Settings with_recent(Settings settings, const std::filesystem::path& file) {
  const std::string name = file.string();
  std::erase(settings.recent, name);
  settings.recent.insert(settings.recent.begin(), name);
  if (settings.recent.size() > k_recent_limit) settings.recent.resize(k_recent_limit);
  return settings;
}

}  // namespace bight::editor
