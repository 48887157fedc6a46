#pragma once
// What the window remembers from one time to the next, kept where the XDG Base Directory
// Specification (freedesktop.org, 0.8) says. A file that is broken or from another version gives
// the defaults for whatever cannot be read.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "base/units.h"

namespace bight::editor {

enum class Scheme { light, dark };

struct Settings {
  std::optional<LengthUnit> unit;  ///< absent: that of the plan
  Scheme scheme = Scheme::light;
  double ui_scale = 0.0;            ///< 0: that of the screen
  std::vector<std::string> recent;  ///< plan files, latest first
  double snap_mm = 10.0;
  double tour_speed = 1.0;
};

inline constexpr std::size_t k_recent_limit = 12;

/// Where things are kept: $XDG_CONFIG_HOME/bight and $XDG_STATE_HOME/bight, or ~/.config/bight and
/// ~/.local/state/bight. Empty when there is no home either: nothing is kept then.
struct Folders {
  std::filesystem::path config;
  std::filesystem::path state;
};
Folders user_folders();

Settings load_settings(const std::filesystem::path& folder);

/// Returns a sentence when it could not be written.
std::string save_settings(const std::filesystem::path& folder, const Settings& settings);

/// The file as the latest of the list.
Settings with_recent(Settings settings, const std::filesystem::path& file);

}  // namespace bight::editor
