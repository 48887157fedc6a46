#pragma once
// Stretches of a plan file by the places of the parser, and keys put in and taken out of its
// tables. Inside the plan module only: what patch and patch_element have in common.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/diagnostic.h"
#include "plan/option.h"
#include "plan/patch.h"
#include "plan/toml.h"

namespace bight::plan {

/// Text in which stretches are found by the places of the parser.
class Source {
 public:
  explicit Source(std::string_view text);

  std::size_t begin(const Region& r) const { return offset(r.line, r.column); }
  std::size_t end(const Region& r) const { return offset(r.end_line, r.end_column); }
  std::size_t line_begin(int line) const { return offset(line, 1); }
  /// End of a line, before its line break.
  std::size_t line_end(int line) const;
  /// Begin of the line after, or the end of the text.
  std::size_t next_line(int line) const { return offset(line + 1, 1); }
  int lines() const { return static_cast<int>(begins_.size()); }
  std::string_view line(int number) const;
  std::string indent(int line) const;
  /// The line break that the file uses.
  std::string line_break() const;
  std::string replaced(std::size_t from, std::size_t to, std::string_view by) const;
  std::string_view text() const { return text_; }
  std::string_view text(const Region& r) const;
  char at(std::size_t offset) const { return offset < text_.size() ? text_[offset] : '\0'; }

 private:
  std::size_t offset(int line, int column) const;

  std::string_view text_;
  std::vector<std::size_t> begins_;  ///< of each line
};

Patched refused(std::string problem);
std::string first_problem(const Diagnostics& diagnostics);

/// The values are equal; where they stand does not matter.
bool same(const Value& a, const Value& b);

/// One value from its TOML text.
std::optional<Value> parse_value(std::string_view text);

/// The table, or list of tables, stands under headers of its own.
bool has_header(const Source& source, const Value& value);

/// The text with a key that its table does not have yet.
std::string with_entry(const Source& source, const Value& root, const PathTarget& target,
                       const std::string& value);

/// The text without a key of the table.
std::string without_entry(const Source& source, const Value& table, const Entry& entry);

/// The edited text when it parses to what was wanted; positions are the parser's, so this is where
/// a layout that they do not fit is caught.
Patched checked(std::string edited, const Value& wanted);

}  // namespace bight::plan
