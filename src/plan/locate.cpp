#include <algorithm>

#include "base/number.h"
#include "plan/locate_detail.h"

namespace bight::plan {
namespace {

/// Last line of anything inside the table.
int last_line_inside(const Value& value) {
  int line = value.region.end_line;
  for (const Value& item : value.items) line = std::max(line, last_line_inside(item));
  for (const Entry& entry : value.entries) line = std::max(line, last_line_inside(entry.value));
  return line;
}

char first_sign(std::string_view line) {
  const std::size_t at = line.find_first_not_of(" \t");
  return at == std::string_view::npos ? '\0' : line[at];
}

}  // namespace

std::vector<std::string> path_components(std::string_view path) {
  std::vector<std::string> parts;
  while (!path.empty()) {
    const std::size_t dot = path.find('.');
    parts.emplace_back(path.substr(0, dot));
    if (dot == std::string_view::npos) break;
    path.remove_prefix(dot + 1);
  }
  return parts;
}

const KeyTable* key_table(std::string_view path) {
  for (const KeyTable& table : all_key_tables()) {
    if (table.path == path) return &table;
  }
  return nullptr;
}

const Key* key_of(std::string_view table, std::string_view key) {
  for (const Key& k : all_keys()) {
    if (k.table == table && k.name == key) return &k;
  }
  return nullptr;
}

const std::string* name_of(const Value& element) {
  const Entry* name = element.find("name");
  return name != nullptr && name->value.kind == Value::Kind::text ? &name->value.text : nullptr;
}

Located locate(Value& root, std::string_view path) {
  Located at{key_table(""), &root, nullptr, nullptr, 0};
  const std::vector<std::string> parts = path_components(path);
  std::string table_path;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    table_path += (table_path.empty() ? "" : ".") + parts[i];
    at.table = key_table(table_path);
    if (at.table == nullptr || table_path.empty()) return {};
    Value* holder = at.element;
    at.entry = holder->find(parts[i]);
    at.parent = holder;
    at.element = nullptr;
    if (at.entry == nullptr) return i + 1 < parts.size() ? Located{} : at;
    Value& value = at.entry->value;
    if (!at.table->repeated) {
      if (value.kind != Value::Kind::table) return {};
      at.element = &value;
      continue;
    }
    if (value.kind != Value::Kind::list || ++i >= parts.size()) return {};
    at.parent = &value;
    auto& items = value.items;
    auto it = std::find_if(items.begin(), items.end(), [&](const Value& item) {
      const std::string* name = name_of(item);
      return at.table->named && name != nullptr && *name == parts[i];
    });
    if (it == items.end()) {
      const auto number = parse_number(parts[i]);
      for (std::size_t k = 0; number && k < items.size(); ++k) {
        if (*number == static_cast<double>(k + 1)) it = items.begin() + static_cast<long>(k);
      }
    }
    if (it == items.end() || it->kind != Value::Kind::table) return {};
    at.index = static_cast<std::size_t>(it - items.begin());
    at.element = &*it;
  }
  return at;
}

LineRange lines_of(const Source& source, const Value& element) {
  LineRange range{element.region.line, last_line_inside(element) + 1};
  while (range.begin > 1 && first_sign(source.line(range.begin - 1)) == '#') --range.begin;
  // The comment at the very top of a file is about the file.
  if (range.begin == 1 && range.begin < element.region.line) range.begin = element.region.line;
  int behind = range.end;
  while (behind <= source.lines() && first_sign(source.line(behind)) == '#') ++behind;
  if (behind > source.lines() || first_sign(source.line(behind)) == '\0') range.end = behind;
  return range;
}

}  // namespace bight::plan
