#include "plan/patch_element.h"

#include <algorithm>
#include <optional>

#include "plan/locate_detail.h"
#include "plan/patch_text_detail.h"

namespace bight::plan {
namespace {

Patched no_element(std::string_view path) {
  return refused("there is no " + toml_quoted(path) + " in this file");
}

bool is_blank(std::string_view line) {
  return line.find_first_not_of(" \t\r") == std::string_view::npos;
}

/// Text of whole lines, ending in a line break.
std::string lines_text(const Source& source, const LineRange& lines) {
  std::string text(
      source.text().substr(source.line_begin(lines.begin),
                           source.line_begin(lines.end) - source.line_begin(lines.begin)));
  if (text.empty() || text.back() != '\n') text += source.line_break();
  return text;
}

/// Puts lines in before a line, an empty line between them and what they meet.
std::string with_lines(const Source& source, int before, std::string lines) {
  const std::string line_break = source.line_break();
  const std::size_t at = source.line_begin(before);
  std::string gap;
  if (at == source.text().size() && at > 0 && source.text().back() != '\n') gap = line_break;
  if (before > 1 && !is_blank(source.line(before - 1))) gap += line_break;
  const bool more = before <= source.lines() && at < source.text().size();
  if (more && !is_blank(source.line(before))) lines += line_break;
  return source.replaced(at, at, gap + lines);
}

/// Takes lines out, and the empty line that is left over.
std::string without_lines(const Source& source, const LineRange& lines) {
  std::size_t to = source.line_begin(lines.end);
  const bool above = lines.begin == 1 || is_blank(source.line(lines.begin - 1));
  if (above && lines.end <= source.lines() && is_blank(source.line(lines.end))) {
    to = source.next_line(lines.end);
  }
  return source.replaced(source.line_begin(lines.begin), to, "");
}

/// { a = 1, b = 2 }
std::string inline_table(const std::vector<PathValue>& values) {
  std::string text;
  for (const PathValue& v : values) text += (text.empty() ? "" : ", ") + v.path + " = " + v.value;
  return text.empty() ? "{}" : "{ " + text + " }";
}

std::optional<Value> table_of(const std::vector<PathValue>& values) {
  Value table;
  for (const PathValue& v : values) {
    const auto value = parse_value(v.value);
    if (!value || table.find(v.path) != nullptr) return {};
    table.entries.push_back({v.path, {}, *value});
  }
  return table;
}

/// The parsed file, and what an edit needs of it.
struct File {
  Source source;
  Value root;
};

std::optional<File> parsed(std::string_view text, Patched& problem) {
  Diagnostics diagnostics;
  auto root = parse_toml(text, {}, diagnostics);
  if (!root) {
    problem = refused(first_problem(diagnostics));
    return {};
  }
  return File{Source(text), std::move(*root)};
}

/// Adds to a list or table that is written in brackets or braces.
std::string with_inline_item(const Source& source, const Value& list, std::size_t index,
                             const std::string& item) {
  if (list.items.empty()) {
    const std::size_t at = source.begin(list.region) + 1;
    return source.replaced(at, at, item);
  }
  if (index >= list.items.size()) {
    const std::size_t at = source.end(list.items.back().region);
    return source.replaced(at, at, ", " + item);
  }
  const std::size_t at = source.begin(list.items[index].region);
  return source.replaced(at, at, item + ", ");
}

std::string without_inline_item(const Source& source, const Value& list, std::size_t index) {
  const std::size_t count = list.items.size();
  const std::size_t from = index + 1 < count || index == 0
                               ? source.begin(list.items[index].region)
                               : source.end(list.items[index - 1].region);
  const std::size_t to = index + 1 < count ? source.begin(list.items[index + 1].region)
                                           : source.end(list.items[index].region);
  return source.replaced(from, to, "");
}

}  // namespace

Patched add_element(std::string_view text, const NewElement& element) {
  Patched problem;
  std::optional<File> file = parsed(text, problem);
  if (!file) return problem;
  const KeyTable* table = key_table(element.table);
  const std::size_t dot = element.table.rfind('.');
  const std::string word = dot == std::string::npos ? element.table : element.table.substr(dot + 1);
  const Located parent = locate(file->root, element.parent);
  if (table == nullptr || table->path.empty()) return no_element(element.table);
  if (!parent.found() ||
      parent.table->path != (dot == std::string::npos ? "" : element.table.substr(0, dot))) {
    return no_element(element.parent);
  }
  std::optional<Value> wanted = table_of(element.values);
  if (!wanted) return refused("a value of the new element is no TOML value, or given twice");
  const std::string* name = name_of(*wanted);
  Entry* entry = parent.element->find(word);
  if (entry != nullptr && !table->repeated) return refused("there is a [" + element.table + "]");
  if (entry != nullptr && entry->value.kind != Value::Kind::list) return no_element(element.table);
  if (entry != nullptr && table->named && name != nullptr) {
    for (const Value& item : entry->value.items) {
      const std::string* other = name_of(item);
      if (other != nullptr && *other == *name) {
        return refused("there is a " + word + " " + toml_quoted(*name) + " already");
      }
    }
  }
  const Source& source = file->source;
  const std::size_t count = entry == nullptr ? 0 : entry->value.items.size();
  const std::size_t index = element.before > 0 ? std::min(element.before - 1, count) : count;
  const bool under_header = parent.element == &file->root || has_header(source, *parent.element);
  std::string edited;
  if (entry != nullptr && !has_header(source, entry->value)) {
    edited = with_inline_item(source, entry->value, index, inline_table(element.values));
  } else if (!under_header) {
    const PathTarget target{parent.element, {}, parent.table->path, word};
    const std::string item = inline_table(element.values);
    edited = with_entry(source, file->root, target, table->repeated ? "[" + item + "]" : item);
  } else {
    const std::string line_break = source.line_break();
    const std::string indent =
        count > 0 ? source.indent(entry->value.items.front().region.line) : std::string();
    std::string lines = indent + (table->repeated ? "[[" : "[") + element.table +
                        (table->repeated ? "]]" : "]") + line_break;
    for (const PathValue& v : element.values) {
      lines.append(indent).append(v.path).append(" = ").append(v.value).append(line_break);
    }
    int before = source.lines() + 1;
    if (index < count) {
      before = lines_of(source, entry->value.items[index]).begin;
    } else if (count > 0) {
      before = lines_of(source, entry->value.items.back()).end;
    } else if (parent.element != &file->root) {
      before = lines_of(source, *parent.element).end;
    } else if (source.text().empty() || source.text().back() == '\n') {
      before = source.lines();
    }
    edited = with_lines(source, before, std::move(lines));
  }
  if (!table->repeated) {
    parent.element->entries.push_back({word, {}, std::move(*wanted)});
  } else {
    if (entry == nullptr) {
      Value list;
      list.kind = Value::Kind::list;
      parent.element->entries.push_back({word, {}, std::move(list)});
      entry = &parent.element->entries.back();
    }
    auto& items = entry->value.items;
    items.insert(items.begin() + static_cast<long>(index), std::move(*wanted));
  }
  return checked(std::move(edited), file->root);
}

Patched remove_element(std::string_view text, std::string_view path) {
  Patched problem;
  std::optional<File> file = parsed(text, problem);
  if (!file) return problem;
  const Located at = locate(file->root, path);
  if (!at.found() || at.entry == nullptr) return no_element(path);
  const Source& source = file->source;
  const bool header = has_header(source, *at.element);
  std::string edited;
  if (header) {
    edited = without_lines(source, lines_of(source, *at.element));
  } else if (at.table->repeated) {
    edited = without_inline_item(source, *at.parent, at.index);
  } else {
    edited = without_entry(source, *at.parent, *at.entry);
  }
  Value* holder = at.parent;
  if (at.table->repeated) {
    at.parent->items.erase(at.parent->items.begin() + static_cast<long>(at.index));
    if (!header || !at.parent->items.empty()) return checked(std::move(edited), file->root);
    const std::size_t last = path.rfind('.');
    const std::size_t word = path.substr(0, last).rfind('.');
    holder = locate(file->root, word == std::string_view::npos ? "" : path.substr(0, word)).element;
  }
  holder->entries.erase(holder->entries.begin() + (at.entry - holder->entries.data()));
  return checked(std::move(edited), file->root);
}

Patched duplicate_element(std::string_view text, std::string_view path, std::string_view new_name) {
  Patched problem;
  std::optional<File> file = parsed(text, problem);
  if (!file) return problem;
  const Located at = locate(file->root, path);
  if (!at.found() || at.entry == nullptr) return no_element(path);
  if (!at.table->repeated) return refused("there can only be one [" + at.table->path + "]");
  for (const Value& item : at.parent->items) {
    const std::string* other = name_of(item);
    if (at.table->named && other != nullptr && *other == new_name) {
      return refused("the name " + toml_quoted(new_name) + " is taken");
    }
  }
  const Source& source = file->source;
  const bool header = has_header(source, *at.element);
  const LineRange lines = header ? lines_of(source, *at.element) : LineRange{};
  const std::size_t begin =
      header ? source.line_begin(lines.begin) : source.begin(at.element->region);
  std::string copy =
      header ? lines_text(source, lines) : std::string(source.text(at.element->region));
  Value wanted = *at.element;
  if (at.table->named) {
    Entry* name = wanted.find("name");
    if (name == nullptr) return refused("an element without a name cannot be copied");
    const std::size_t from = source.begin(name->value.region) - begin;
    const std::size_t to = source.end(name->value.region) - begin;
    copy.replace(from, to - from, toml_quoted(new_name));
    name->value.text = std::string(new_name);
  }
  std::string edited = header ? with_lines(source, lines.end, std::move(copy))
                              : with_inline_item(source, *at.parent, at.index + 1, copy);
  auto& items = at.parent->items;
  items.insert(items.begin() + static_cast<long>(at.index) + 1, std::move(wanted));
  return checked(std::move(edited), file->root);
}

Patched move_element(std::string_view text, std::string_view path, std::size_t number) {
  Patched problem;
  std::optional<File> file = parsed(text, problem);
  if (!file) return problem;
  const Located at = locate(file->root, path);
  if (!at.found() || at.entry == nullptr || !at.table->repeated) return no_element(path);
  auto& items = at.parent->items;
  if (number < 1 || number > items.size()) {
    return refused("there are " + std::to_string(items.size()) + " of them");
  }
  const std::size_t to = number - 1;
  if (to == at.index) return {std::string(text), {}};
  const Source& source = file->source;
  std::string edited;
  if (has_header(source, *at.element)) {
    const LineRange lines = lines_of(source, *at.element);
    const LineRange other = lines_of(source, items[to]);
    const int before = to < at.index ? other.begin : other.end;
    // The later of the two places is changed first, so that lines before it stay where they are.
    if (to < at.index) {
      const std::string cut = without_lines(source, lines);
      edited = with_lines(Source(cut), before, lines_text(source, lines));
    } else {
      const std::string more = with_lines(source, before, lines_text(source, lines));
      edited = without_lines(Source(more), lines);
    }
  } else {
    const std::string item(source.text(at.element->region));
    const std::string cut = without_inline_item(source, *at.parent, at.index);
    Diagnostics diagnostics;
    auto root = parse_toml(cut, {}, diagnostics);
    if (!root) return refused(first_problem(diagnostics));
    const std::size_t dot = path.rfind('.');
    const std::size_t word = path.substr(0, dot).rfind('.');
    const Located holder =
        locate(*root, word == std::string_view::npos ? "" : path.substr(0, word));
    const Entry* list = holder.found() ? holder.element->find(at.entry->key) : nullptr;
    if (list == nullptr) return no_element(path);
    edited = with_inline_item(Source(cut), list->value, to, item);
  }
  Value moved = std::move(items[at.index]);
  items.erase(items.begin() + static_cast<long>(at.index));
  items.insert(items.begin() + static_cast<long>(to), std::move(moved));
  return checked(std::move(edited), file->root);
}

}  // namespace bight::plan
