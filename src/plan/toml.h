#pragma once
// TOML text as a tree of values that know their place in the text. For the plan module only; the
// TOML library stays behind this header.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/diagnostic.h"

namespace bight::plan {

/// Stretch of text, half-open; lines and columns (code points) count from 1.
struct Region {
  int line = 0;
  int column = 0;
  int end_line = 0;
  int end_column = 0;
};

struct Entry;

/// A TOML value.
struct Value {
  enum class Kind { text, whole, real, boolean, date, list, table };
  Kind kind = Kind::table;
  Region region;  ///< of a table with a header: the header
  std::string text;
  std::int64_t whole = 0;
  double real = 0.0;
  bool boolean = false;
  std::vector<Value> items;         ///< of a list
  std::vector<Entry> entries;       ///< of a table, in the order of the file
  bool braces = false;              ///< table written as { ... }
  std::vector<std::string> flawed;  ///< keys of a table whose values are missing or wrong

  const Entry* find(std::string_view key) const;
  Entry* find(std::string_view key);
  bool is_number() const { return kind == Kind::whole || kind == Kind::real; }
  double number() const { return kind == Kind::whole ? static_cast<double>(whole) : real; }
};

/// A key and its value.
struct Entry {
  std::string key;
  Region key_region;
  Value value;
};

/// Parses TOML 1.0. Text that is not UTF-8, a syntax error (the first one: what follows cannot be
/// trusted) and keys or brackets nested deeper than any plan needs become diagnostics.
std::optional<Value> parse_toml(std::string_view text, const std::string& file,
                                Diagnostics& diagnostics);

/// What stands there, for a message: "the text \"abc\"", "12.5", "a list of 2 values".
std::string describe(const Value& value);

/// The value as TOML text.
std::string to_toml(const Value& value);

/// Text quoted for TOML.
std::string toml_quoted(std::string_view text);

/// Byte position of a line and column; the end of the text when beyond it.
std::size_t byte_offset(std::string_view text, int line, int column);

}  // namespace bight::plan
