#include "plan/patch_text_detail.h"

#include <algorithm>

namespace bight::plan {

Source::Source(std::string_view text)
    : text_(text), begins_{text.substr(0, 3) == "\xEF\xBB\xBF" ? 3U : 0U} {
  for (std::size_t at = text.find('\n'); at != std::string_view::npos;
       at = text.find('\n', at + 1)) {
    begins_.push_back(at + 1);
  }
}

std::size_t Source::offset(int line, int column) const {
  if (line < 1) return 0;
  if (line > lines()) return text_.size();
  std::size_t at = begins_[static_cast<std::size_t>(line) - 1];
  const auto continues = [this](std::size_t i) {
    return (static_cast<unsigned char>(text_[i]) & 0xC0U) == 0x80U;
  };
  for (int c = 1; c < column && at < text_.size() && text_[at] != '\n'; ++c) {
    ++at;
    while (at < text_.size() && continues(at)) ++at;
  }
  return at;
}

std::size_t Source::line_end(int line) const {
  std::size_t at = std::min(text_.find('\n', line_begin(line)), text_.size());
  if (at > 0 && at < text_.size() && text_[at - 1] == '\r') --at;
  return at;
}

std::string_view Source::line(int number) const {
  const std::size_t begin = line_begin(number);
  return text_.substr(begin, line_end(number) - begin);
}

std::string Source::indent(int line) const {
  const std::size_t begin = line_begin(line);
  return std::string(text_.substr(begin, text_.find_first_not_of(" \t", begin) - begin));
}

std::string Source::line_break() const {
  const std::size_t at = text_.find('\n');
  return at != std::string_view::npos && at > 0 && text_[at - 1] == '\r' ? "\r\n" : "\n";
}

std::string Source::replaced(std::size_t from, std::size_t to, std::string_view by) const {
  std::string out(text_.substr(0, from));
  out.append(by).append(text_.substr(to));
  return out;
}

std::string_view Source::text(const Region& r) const {
  const std::size_t from = begin(r);
  const std::size_t to = end(r);
  return to > from ? text_.substr(from, to - from) : std::string_view();
}

Patched refused(std::string problem) {
  return {{}, std::move(problem)};
}

std::string first_problem(const Diagnostics& diagnostics) {
  const Diagnostic& d = diagnostics.items().front();
  return d.message + (d.allowed.empty() ? "" : "; allowed: " + d.allowed);
}

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

std::optional<Value> parse_value(std::string_view text) {
  Diagnostics diagnostics;
  auto parsed = parse_toml("v = " + std::string(text), {}, diagnostics);
  if (!parsed || parsed->entries.size() != 1) return {};
  return std::move(parsed->entries.front().value);
}

bool has_header(const Source& source, const Value& value) {
  if (value.kind == Value::Kind::list) {
    return !value.items.empty() && has_header(source, value.items.front());
  }
  return value.kind == Value::Kind::table && !value.braces &&
         source.at(source.begin(value.region)) == '[';
}

namespace {

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

}  // namespace

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
  if (target.table == &root && target.missing.empty()) {  // before the first table
    const std::size_t at = line > 0 ? source.line_end(line) : source.line_begin(1);
    return line > 0 ? source.replaced(at, at, line_break + assignment)
                    : source.replaced(at, at, assignment + line_break);
  }
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

Patched checked(std::string edited, const Value& wanted) {
  Diagnostics diagnostics;
  const auto parsed = parse_toml(edited, {}, diagnostics);
  if (!parsed || !same(*parsed, wanted)) {
    return refused("this value cannot be edited in place; edit the file by hand");
  }
  return {std::move(edited), {}};
}

}  // namespace bight::plan
