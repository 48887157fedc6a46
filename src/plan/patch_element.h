#pragma once
// Edits whole elements of a plan file in place: [[part]] tables are added, removed, copied, moved
// and renamed as stretches of text, so that everything else, comments and layout included, stays as
// it was. A comment directly above a header, without an empty line between, belongs to it.
//
// Paths of elements are those of plan/document.h: "part.bed", "run.overhead.leg.2", "rules",
// "option.plug at the head". Each result parses to what was wanted, or the edit is refused with a
// sentence; none is validated as a plan.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "plan/patch.h"

namespace bight::plan {

/// A new element and what stands in it.
struct NewElement {
  std::string table;              ///< as in plan/keys: "part", "run.leg"
  std::string parent;             ///< path of the element that it goes into ("run.overhead")
  std::vector<PathValue> values;  ///< keys (no paths) and their TOML text, in order
  std::size_t before = 0;         ///< number of the element that it goes before; 0: last
};

Patched add_element(std::string_view text, const NewElement& element);

/// With everything inside it, and its comment.
Patched remove_element(std::string_view text, std::string_view path);

/// A copy right behind it, comments included; with a name of its own when it has one.
Patched duplicate_element(std::string_view text, std::string_view path, std::string_view new_name);

/// To be the `number`th of its list, counted from 1.
Patched move_element(std::string_view text, std::string_view path, std::size_t number);

/// Renames an element and everything that refers to it: names in other elements, in overrides, and
/// the paths of overrides. Refused when another element of the same kind has the name.
Patched rename_element(std::string_view text, std::string_view path, std::string_view new_name);

/// Sets or removes the value that an option puts at a path.
Patched set_override(std::string_view text, std::string_view option, std::string_view path,
                     std::string_view value);
Patched remove_override(std::string_view text, std::string_view option, std::string_view path);

}  // namespace bight::plan
