#pragma once
// Every edit that the window can make, as plain values, and what each does to the text of the plan.
// For the editor (undo, options) and for tests, which make edits by the thousand.
//
// Rule of options. While an option is chosen, an edit changes that option alone wherever the plan
// file can say so, and the plan itself (so every option) where it cannot:
//   * setting a value writes it into the option's overrides; removing a value removes the override
//     and is refused when the value stands in the plan itself;
//   * adding an element whose table has the key `present` (part, line, support, chain) adds it to
//     the plan with present = false and sets it true in the option; removing one sets it false;
//   * elements without that key, names, the keys at the top of the file and of options change the
//     plan; removing such an element is refused, as other options may need it.

#include <cstddef>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "plan/document.h"
#include "plan/patch_element.h"

namespace bight::editor {

/// `value` is TOML text in the file's unit (editor/key_value.h makes it from numbers and words).
struct SetValue {
  std::string path;
  std::string value;
};

/// Several values in one step: a moved hook takes the ends of its clipped legs along.
struct SetValues {
  std::vector<plan::PathValue> values;
  std::string what;  ///< for the undo list: "move rafter hook"
};

/// The key takes its default again, or what the plan says under the option.
struct RemoveValue {
  std::string path;
};

/// An element with the values given; of the required keys that are not given those are filled in
/// that make a sound start (editor/new_element.h).
struct AddElement {
  plan::NewElement element;
};

struct RemoveElement {
  std::string path;
};

struct DuplicateElement {
  std::string path;
  std::string name;  ///< empty: "name 2", "name 3"...
};

struct MoveElement {
  std::string path;
  std::size_t number = 1;  ///< place in its list, from 1
};

struct RenameElement {
  std::string path;
  std::string name;
};

using Edit = std::variant<SetValue, SetValues, RemoveValue, AddElement, RemoveElement,
                          DuplicateElement, MoveElement, RenameElement>;

/// The text after the edit, or why it is refused. `option`: the chosen one, empty: the plan.
plan::Patched edited_text(std::string_view text, std::string_view option, const Edit& edit);

/// For menus and lists: "set part.bed.size", "remove part.bed".
std::string edit_name(const Edit& edit);

}  // namespace bight::editor
