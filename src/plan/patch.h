#pragma once
// Edits a plan file in place: the text around the edited value, comments and layout, stays as it
// was. For the window's edits and for `suggest`, which appends options.

#include <string>
#include <string_view>
#include <vector>

#include "base/vec.h"

namespace bight::plan {

/// New text, or why there is none.
struct Patched {
  std::string text;     ///< empty when `problem` is set
  std::string problem;  ///< one sentence
};

/// Sets the value at a path (form: plan/option.h; also "units" and the like at the top of the file,
/// and "option.name.about"). `value` is TOML text (see the makers below). A
/// key that is not there yet is added to its element, a missing single table too. The result parses
/// and differs from `text` in this value alone; it is not validated as a plan.
Patched set_value(std::string_view text, std::string_view path, std::string_view value);

/// Removes a key from its element, so that it takes its default.
Patched remove_value(std::string_view text, std::string_view path);

/// Appends a block ("[[anchor]]\nname = ...") after an empty line.
Patched append_block(std::string_view text, std::string_view block);

/// Path and TOML text of a value.
struct PathValue {
  std::string path;
  std::string value;
};

/// Appends an option with these overrides. Its name must not be taken, its paths must exist.
Patched append_option(std::string_view text, std::string_view name, std::string_view about,
                      const std::vector<PathValue>& overrides);

/// TOML text of values. Lengths are given in mm and written in the file's unit.
std::string toml_length(double mm, bool inches);
std::string toml_vector(const Vec3& mm, bool inches);
std::string toml_text(std::string_view text);

}  // namespace bight::plan
