#include "plan/patch.h"

#include <algorithm>
#include <optional>

#include "base/number.h"
#include "plan/option.h"
#include "plan/read_value_detail.h"
#include "plan/toml.h"

namespace bight::plan {
namespace {

Patched refused(std::string problem) {
  return {{}, std::move(problem)};
}

std::string first_problem(const Diagnostics& diagnostics) {
  const Diagnostic& d = diagnostics.items().front();
  return d.message + (d.allowed.empty() ? "" : "; allowed: " + d.allowed);
}

/// The values are equal; where they stand does not matter.
bool same(const Value& a, const Value& b) {
  if (a.kind != b.kind) return false;
  if (a.kind == Value::Kind::list) {
    return std::equal(a.items.begin(), a.items.end(), b.items.begin(), b.items.end(), same);
  }
  if (a.kind != Value::Kind::table) return to_toml(a) == to_toml(b);
  return a.entries.size() == b.entries.size() &&
         std::all_of(a.entries.begin(), a.entries.end(), [&b](const Entry& entry) {
           const Entry* other = b.find(entry.key);
           return other != nullptr && same(entry.value, other->value);
         });
}

/// One value from its TOML text.
std::optional<Value> parse_value(std::string_view text) {
  Diagnostics diagnostics;
  auto parsed = parse_toml("v = " + std::string(text), {}, diagnostics);
  if (!parsed || parsed->entries.size() != 1) return {};
  return std::move(parsed->entries.front().value);
}

/// Text in which stretches are found by the places of the parser.
class Source {
 public:
  explicit Source(std::string_view text) : text_(text) {}

  std::size_t begin(const Region& r) const { return byte_offset(text_, r.line, r.column); }
  std::size_t end(const Region& r) const { return byte_offset(text_, r.end_line, r.end_column); }
  std::size_t line_begin(int line) const { return byte_offset(text_, line, 1); }

  /// End of a line, before its line break.
  std::size_t line_end(int line) const {
    std::size_t at = std::min(text_.find('\n', line_begin(line)), text_.size());
    if (at > 0 && at < text_.size() && text_[at - 1] == '\r') --at;
    return at;
  }

  std::string indent(int line) const {
    const std::size_t begin = line_begin(line);
    return std::string(text_.substr(begin, text_.find_first_not_of(" \t", begin) - begin));
  }

  /// The line break that the file uses.
  std::string line_break() const {
    const std::size_t at = text_.find('\n');
    return at != std::string_view::npos && at > 0 && text_[at - 1] == '\r' ? "\r\n" : "\n";
  }

  std::string replaced(std::size_t from, std::size_t to, std::string_view by) const {
    std::string out(text_.substr(0, from));
    out.append(by).append(text_.substr(to));
    return out;
  }

  std::string_view text() const { return text_; }
  char at(std::size_t offset) const { return offset < text_.size() ? text_[offset] : '\0'; }

 private:
  std::string_view text_;
};

/// The table, or list of tables, stands under headers of its own.
bool has_header(const Source& source, const Value& value) {
  if (value.kind == Value::Kind::list) {
    return !value.items.empty() && has_header(source, value.items.front());
  }
  return value.kind == Value::Kind::table && !value.braces &&
         source.at(source.begin(value.region)) == '[';
}

/// Last line of the last value that is reached from the table without a header of its own, 0 when
/// there is none; `last` is the entry that stands there.
int last_line(const Source& source, const Value& table, const Entry*& last) {
  int line = 0;
  for (const Entry& entry : table.entries) {
    if (has_header(source, entry.value)) continue;
    const Entry* inner = &entry;
    const bool dotted = entry.value.kind == Value::Kind::table && !entry.value.braces;
    const int end = dotted ? last_line(source, entry.value, inner) : entry.value.region.end_line;
    if (end > line) {
      line = end;
      last = inner;
    }
  }
  return line;
}

/// The text with a key that its table does not have yet.
std::string with_entry(const Source& source, const Value& root, const PathTarget& target,
                       const std::string& value) {
  const Value& table = *target.table;
  std::string assignment = target.key + " = " + value;
  if (table.braces) {
    for (auto it = target.missing.rbegin(); it != target.missing.rend(); ++it) {
      assignment.insert(0, *it + " = { ").append(" }");
    }
    if (table.entries.empty()) {
      const std::size_t at = source.begin(table.region) + 1;
      return source.replaced(at, at, " " + assignment + " ");
    }
    const std::size_t at = source.end(table.entries.back().value.region);
    return source.replaced(at, at, ", " + assignment);
  }
  const std::string line_break = source.line_break();
  if (!target.missing.empty()) {
    assignment = "[" + target.key_table + "]" + line_break + assignment;
  }
  const Entry* last = nullptr;
  int line = last_line(source, table, last);
  if (target.table == &root) {  // a new single table of the file goes to its end
    const std::size_t end = source.text().size();
    const std::string gap = end == 0 || source.text().back() == '\n' ? "" : line_break;
    return source.replaced(end, end, gap + line_break + assignment + line_break);
  }
  std::string prefix;
  if (has_header(source, table)) {
    line = std::max(line, table.region.line);
    prefix = source.indent(line);
  } else if (last != nullptr) {
    // Made by dotted keys: the same keys lead to the new one.
    const std::size_t begin = source.line_begin(last->key_region.line);
    prefix = source.text().substr(begin, source.begin(last->key_region) - begin);
  }
  const std::size_t at = source.line_end(line);
  return source.replaced(at, at, line_break + prefix + assignment);
}

std::string without_entry(const Source& source, const Value& table, const Entry& entry) {
  if (!table.braces) {
    const std::size_t from = source.line_begin(entry.key_region.line);
    const std::size_t line_end = source.text().find('\n', source.end(entry.value.region));
    return source.replaced(from, std::min(line_end, source.text().size() - 1) + 1, "");
  }
  const auto index = static_cast<std::size_t>(&entry - table.entries.data());
  if (index + 1 < table.entries.size()) {
    return source.replaced(source.begin(entry.key_region),
                           source.begin(table.entries[index + 1].key_region), "");
  }
  const std::size_t from = index > 0 ? source.end(table.entries[index - 1].value.region)
                                     : source.begin(entry.key_region);
  return source.replaced(from, source.end(entry.value.region), "");
}

/// The edited text when it parses to what was wanted; positions are the parser's, so this is where
/// a layout that they do not fit is caught.
Patched checked(std::string edited, const Value& wanted) {
  Diagnostics diagnostics;
  const auto parsed = parse_toml(edited, {}, diagnostics);
  if (!parsed || !same(*parsed, wanted)) {
    return refused("this value cannot be edited in place; edit the file by hand");
  }
  return {std::move(edited), {}};
}

}  // namespace

Patched set_value(std::string_view text, std::string_view path, std::string_view value) {
  Diagnostics diagnostics;
  std::optional<Value> root = parse_toml(text, {}, diagnostics);
  if (!root) return refused(first_problem(diagnostics));
  const std::optional<Value> new_value = parse_value(value);
  if (!new_value) return refused("`" + std::string(value) + "` is not a TOML value");
  const PathTarget target = resolve_path(*root, path, {}, diagnostics);
  if (target.table == nullptr) return refused(first_problem(diagnostics));

  const Source source(text);
  const std::string value_text(value);
  if (Entry* entry = target.missing.empty() ? target.table->find(target.key) : nullptr) {
    std::string edited = source.replaced(source.begin(entry->value.region),
                                         source.end(entry->value.region), value_text);
    entry->value = *new_value;
    return checked(std::move(edited), *root);
  }
  std::string edited = with_entry(source, *root, target, value_text);
  Value* table = target.table;
  for (const std::string& name : target.missing) {
    table->entries.push_back({name, {}, {}});
    table = &table->entries.back().value;
  }
  table->entries.push_back({target.key, {}, *new_value});
  return checked(std::move(edited), *root);
}

Patched remove_value(std::string_view text, std::string_view path) {
  Diagnostics diagnostics;
  std::optional<Value> root = parse_toml(text, {}, diagnostics);
  if (!root) return refused(first_problem(diagnostics));
  const PathTarget target = resolve_path(*root, path, {}, diagnostics);
  if (target.table == nullptr) return refused(first_problem(diagnostics));
  const Entry* entry = target.missing.empty() ? target.table->find(target.key) : nullptr;
  if (entry == nullptr) return refused("the key is not in the file; its default holds already");
  std::string edited = without_entry(Source(text), *target.table, *entry);
  target.table->entries.erase(target.table->entries.begin() +
                              (entry - target.table->entries.data()));
  return checked(std::move(edited), *root);
}

Patched append_block(std::string_view text, std::string_view block) {
  Diagnostics diagnostics;
  if (!parse_toml(text, {}, diagnostics)) return refused(first_problem(diagnostics));
  const std::string line_break = Source(text).line_break();
  std::string out(text);
  if (!out.empty() && out.back() != '\n') out += line_break;
  if (!out.empty()) out += line_break;
  for (const char c : block) {
    if (c == '\n') {
      out += line_break;
    } else if (c != '\r') {
      out += c;
    }
  }
  if (out.empty() || out.back() != '\n') out += line_break;
  if (!parse_toml(out, {}, diagnostics)) return refused(first_problem(diagnostics));
  return {std::move(out), {}};
}

Patched append_option(std::string_view text, std::string_view name, std::string_view about,
                      const std::vector<PathValue>& overrides) {
  std::string block = "[[option]]\nname = " + toml_text(name) + "\n";
  if (!about.empty()) block += "about = " + toml_text(about) + "\n";
  block += "[option.set]\n";
  for (const PathValue& o : overrides) {
    if (!parse_value(o.value)) return refused("`" + o.value + "` is not a TOML value");
    block += toml_text(o.path) + " = " + o.value + "\n";
  }
  Patched patched = append_block(text, block);
  if (!patched.problem.empty()) return patched;
  Diagnostics diagnostics;
  std::optional<Value> root = parse_toml(patched.text, {}, diagnostics);
  if (root) check_option_paths(*root, {}, diagnostics);
  if (diagnostics.has_errors()) return refused(first_problem(diagnostics));
  const Entry* options = root->find("option");
  const auto named = [&](const Value& option) {
    const Entry* entry = option.find("name");
    return entry != nullptr && entry->value.text == name;
  };
  if (options != nullptr &&
      std::count_if(options->value.items.begin(), options->value.items.end(), named) > 1) {
    return refused("there is an option " + toml_text(name) + " already");
  }
  return patched;
}

std::string toml_length(double mm, bool inches) {
  return shortest(mm / unit_factor(Unit::length, inches));
}

std::string toml_vector(const Vec3& mm, bool inches) {
  return "[" + toml_length(mm.x, inches) + ", " + toml_length(mm.y, inches) + ", " +
         toml_length(mm.z, inches) + "]";
}

std::string toml_text(std::string_view text) {
  return toml_quoted(text);
}

}  // namespace bight::plan
