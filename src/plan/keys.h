#pragma once
// Every key of the plan file in one table: what it is called, what may stand there, in which unit,
// what it is when absent and why, and what it means to a person in a workshop. The reader checks
// against this table, `bight keys` prints it and docs/plan-file.md is made from it, so none of the
// three can drift from the others.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace bight::plan {

/// What may stand at a key.
enum class KeyType {
  text,            ///< any text
  name,            ///< names the element that it stands in: unique, not empty, no dots
  reference,       ///< the name of another element, of one of the tables `refers_to`
  references,      ///< a list of such names
  reference_pair,  ///< exactly two such names
  choice,          ///< one of the words `choices`
  path,            ///< path of a file, relative to the plan's folder
  boolean,         ///< true or false
  whole_number,    ///< without decimals
  number,          ///< finite, in `unit`
  numbers,         ///< list of numbers
  interval,        ///< two numbers, [low, high]
  pair,            ///< two numbers, [a, b]
  vector,          ///< three numbers, X Y Z
  direction,       ///< three numbers that point somewhere; scaled to length 1
  pairs,           ///< list of pairs
  vectors,         ///< list of vectors
  values_by_path,  ///< quoted path = any value ([option.set])
};

/// Unit of the numbers at a key. Values of the first three are lengths (mm, mm/min, mm/s^2 in the
/// plan in memory), which stand in inches in a file with units = "in".
enum class Unit {
  length,
  speed,
  acceleration,
  none,
  degree,
  kg_per_m,
  newton,
  newton_m2,
  newton_m,
  newton_per_m,
  kilogram,
  volt,
  ampere,
  celsius,
  percent,
  square_mm,
  diameters,  ///< multiples of the outside diameter
  per_metre,  ///< money per metre
  load_span,  ///< pairs: kg/m, then a length
};

/// Numbers that are allowed, for each component of a pair or vector, in the unit of the plan in
/// memory.
struct Range {
  double low = 0.0;
  double high = 0.0;
  bool without_low = false;  ///< `low` itself is not allowed
};

/// The key is only for elements whose `key` has one of the `values` (a diameter is for cylinders).
struct OnlyFor {
  std::string key;
  std::vector<std::string> values;
};

/// One key.
struct Key {
  std::string table;  ///< "joint", "run.leg"; empty: the top of the file
  std::string name;
  KeyType type = KeyType::text;
  Unit unit = Unit::none;
  bool required = false;  ///< with `only_for`: required there
  std::string standard;   ///< default as it would be written; empty: none, the key stays unset
  std::optional<Range> range;
  std::size_t minimum_items = 0;  ///< of a list
  std::vector<std::string> choices;
  std::vector<std::string> refers_to;  ///< tables that the name may come from
  std::optional<OnlyFor> only_for;
  std::string meaning;  ///< one line
  std::string source;   ///< of the default: a standard or "common practice"; empty: nothing to say
};

/// One table.
struct KeyTable {
  std::string path;       ///< "joint", "run.leg"; empty: the top of the file
  bool repeated = false;  ///< [[part]] rather than [rules]
  bool named = false;     ///< its elements have names and are addressed by them, others by number
  std::string meaning;    ///< one line
};

/// All tables, in the order of the documentation; the first is the top of the file.
const std::vector<KeyTable>& all_key_tables();

/// All keys, table after table.
const std::vector<Key>& all_keys();

/// What may stand at the key, in words: "3 numbers [x, y, z] in mm, each more than 0". Lengths are
/// given in inches when `inches`.
std::string allowed_text(const Key& key, bool inches = false);

/// The table as text for a terminal; with a filter only the keys whose "table.key" or meaning
/// contains it (letters of either case), or nothing when none does.
std::string keys_text(std::string_view filter = {});

/// docs/plan-file.md.
std::string keys_markdown();

}  // namespace bight::plan
