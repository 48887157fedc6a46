#pragma once
// The elements of a plan file by their paths ("part.bed", "run.overhead.leg.2", "rules",
// "option.plug"). Inside the plan module only.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "plan/keys.h"
#include "plan/patch_text_detail.h"
#include "plan/toml.h"

namespace bight::plan {

/// An element in the tree; all pointers are good as long as the tree is not changed.
struct Located {
  const KeyTable* table = nullptr;  ///< nullptr: there is no such element
  Value* element = nullptr;
  Value* parent = nullptr;  ///< table that holds it, or the list that it is in
  Entry* entry = nullptr;   ///< of the parent: the element, or its list
  std::size_t index = 0;    ///< in its list
  bool found() const { return element != nullptr; }
};

/// The path split at its dots.
std::vector<std::string> path_components(std::string_view path);

/// The table of that path, or nullptr.
const KeyTable* key_table(std::string_view path);

/// The key of a table, or nullptr.
const Key* key_of(std::string_view table, std::string_view key);

/// The element at a path; the empty path is the top of the file. An element of a list is found by
/// its name, else by its number.
Located locate(Value& root, std::string_view path);

/// The name of an element, or nullptr.
const std::string* name_of(const Value& element);

/// Half-open stretch of lines, counted from 1.
struct LineRange {
  int begin = 0;
  int end = 0;
};

/// The lines of an element under a header of its own: with the comment directly above, everything
/// inside it, and comments right behind it that belong to nothing else.
LineRange lines_of(const Source& source, const Value& element);

}  // namespace bight::plan
