#pragma once
// The plan file as a person edits it: every table with every key that may stand in it, what stands
// there, and what a key takes when it is absent. For the window's property panels, which know no
// key by name. Works on any text that is TOML, also where the plan in it has errors, so that they
// can be mended in the window.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "plan/keys.h"

namespace bight::plan {

/// Where the value that holds for a key comes from.
enum class Origin {
  absent,  ///< neither in the file nor in the chosen option: Key::standard holds
  file,
  option,  ///< overridden by the chosen option
};

/// One key that may stand in a table.
struct KeyState {
  const Key* key = nullptr;
  std::string path;     ///< for edits: "part.bed.size"; "name" at the top of the file
  bool applies = true;  ///< false: only for elements of another kind (Key::only_for)
  Origin origin = Origin::absent;
  std::string value;       ///< TOML text as written; empty when absent
  std::string plan_value;  ///< what the plan has under the option's value; empty when absent
  int line = 0;            ///< of the value in the file, 0 when absent
};

/// One table: an element of a list ([[part]]), a single table ([rules]), or the top of the file.
/// Single tables are listed whether the file has them or not.
struct Element {
  const KeyTable* table = nullptr;
  std::string path;    ///< "part.bed", "run.overhead.leg.2", "rules"; empty: the top of the file
  std::string name;    ///< of an element with a name, empty when it is missing
  std::string parent;  ///< path of the element that it stands in; empty: the file
  std::size_t number = 0;  ///< from 1, in the file's order, among those of its list; 0: single
  bool in_file = false;
  int line = 0;
  std::vector<KeyState> keys;  ///< in the order of the table of keys
};

/// Elements in the order of the table of keys, those inside an element right behind it.
struct Document {
  std::vector<Element> elements;
  bool inches = false;  ///< unit of the numbers in the values
  std::string problem;  ///< a sentence when the text is not TOML; no elements then
};

/// `option`: its overrides are shown over the plan's values; empty: the plan as written.
Document read_document(std::string_view text, std::string_view option = {});

/// The element at a path, or nullptr.
const Element* find_element(const Document& document, std::string_view path);

/// The key at a path ("part.bed.size"), or nullptr.
const KeyState* find_key(const Document& document, std::string_view path);

/// Names that may stand at a key that refers to others, with those that a [frame] makes and
/// "ground". Elements in their order, without doubles.
std::vector<std::string> names_for(const Document& document, const Key& key);

}  // namespace bight::plan
