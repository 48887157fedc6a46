// Renaming with references, and the values of options: the edits of a plan that touch places far
// apart.

#include <algorithm>
#include <optional>

#include "plan/locate_detail.h"
#include "plan/patch_element.h"
#include "plan/patch_text_detail.h"

namespace bight::plan {
namespace {

/// A stretch that is replaced.
struct Swap {
  Region region;
  std::string by;
};

/// Everything in the file that says the old name, changed in the tree and noted for the text.
class Renaming {
 public:
  Renaming(const KeyTable& table, std::string from, std::string to)
      : table_(table.path), from_(std::move(from)), to_(std::move(to)) {}

  std::vector<Swap> swaps;

  void name(Value& value) {
    swaps.push_back({value.region, toml_quoted(to_)});
    value.text = to_;
  }

  void references(const std::string& table, Value& element) {
    for (Entry& entry : element.entries) {
      const std::string inner = (table.empty() ? "" : table + ".") + entry.key;
      if (key_table(inner) != nullptr) {
        if (entry.value.kind == Value::Kind::list) {
          for (Value& item : entry.value.items) references(inner, item);
        } else {
          references(inner, entry.value);
        }
      } else if (const Key* key = key_of(table, entry.key)) {
        if (key->type == KeyType::values_by_path) {
          overrides({}, entry.value);
        } else {
          value_at(*key, entry.value);
        }
      }
    }
  }

 private:
  void value_at(const Key& key, Value& value) {
    if (std::find(key.refers_to.begin(), key.refers_to.end(), table_) == key.refers_to.end())
      return;
    if (value.kind == Value::Kind::text && value.text == from_) name(value);
    for (Value& item : value.items) {
      if (item.kind == Value::Kind::text && item.text == from_) name(item);
    }
  }

  /// Overrides of an option, by quoted paths or dotted keys.
  void overrides(const std::string& prefix, Value& set) {
    for (Entry& entry : set.entries) {
      std::string path = prefix + entry.key;
      std::vector<std::string> parts = path_components(path);
      const std::size_t depth = path_components(prefix).size();
      if (parts.size() > 1 && depth <= 1 && parts[0] == table_ && parts[1] == from_) {
        parts[1] = to_;
        std::string key;
        for (std::size_t i = depth; i < parts.size(); ++i) key += (i > depth ? "." : "") + parts[i];
        swaps.push_back({entry.key_region, toml_quoted(key)});
        entry.key = key;
      }
      if (entry.value.kind == Value::Kind::table) {
        overrides(path + ".", entry.value);
      } else if (const Key* key = key_at(parts)) {
        value_at(*key, entry.value);
      }
    }
  }

  /// The key that a path leads to: every second component after a repeated table is an element.
  static const Key* key_at(const std::vector<std::string>& parts) {
    std::string table;
    for (std::size_t i = 0; i + 1 < parts.size(); ++i) {
      table += (table.empty() ? "" : ".") + parts[i];
      const KeyTable* found = key_table(table);
      if (found == nullptr) return nullptr;
      if (found->repeated) ++i;
    }
    return parts.empty() ? nullptr : key_of(table, parts.back());
  }

  std::string table_;
  std::string from_;
  std::string to_;
};

/// Why a name may not be given, or nothing.
std::string problem_of_name(std::string_view name) {
  if (name.empty()) return "a name is not empty";
  if (name.find('.') != std::string_view::npos) return "a name has no dots";
  return {};
}

Value* find_set(Value& root, std::string_view option, Patched& problem) {
  const Located at = locate(root, "option." + std::string(option));
  if (option.empty() || !at.found()) {
    problem = refused("there is no option " + toml_quoted(option));
    return nullptr;
  }
  Entry* set = at.element->find("set");
  if (set == nullptr || set->value.kind != Value::Kind::table) {
    problem = refused("the option has no [option.set]");
    return nullptr;
  }
  return &set->value;
}

/// The entry of [option.set] that has the path, and the table that it is in.
struct SetEntry {
  Value* table = nullptr;
  Entry* entry = nullptr;
};
SetEntry find_override(Value& set, const std::string& prefix, std::string_view path) {
  for (Entry& entry : set.entries) {
    const std::string here = prefix + entry.key;
    if (entry.value.kind == Value::Kind::table) {
      const SetEntry inner = find_override(entry.value, here + ".", path);
      if (inner.entry != nullptr) return inner;
    } else if (here == path) {
      return {&set, &entry};
    }
  }
  return {};
}

}  // namespace

Patched rename_element(std::string_view text, std::string_view path, std::string_view new_name) {
  Diagnostics diagnostics;
  std::optional<Value> root = parse_toml(text, {}, diagnostics);
  if (!root) return refused(first_problem(diagnostics));
  const Located at = locate(*root, path);
  if (!at.found() || at.table->path.empty() || !at.table->named) {
    return refused("there is nothing with a name at " + toml_quoted(path));
  }
  if (std::string problem = problem_of_name(new_name); !problem.empty()) return refused(problem);
  for (const Value& item : at.parent->items) {
    const std::string* other = name_of(item);
    if (&item != at.element && other != nullptr && *other == new_name) {
      return refused("the name " + toml_quoted(new_name) + " is taken");
    }
  }
  const Source source(text);
  Entry* name = at.element->find("name");
  if (name == nullptr || name->value.kind != Value::Kind::text) {
    const PathTarget target{at.element, {}, at.table->path, "name"};
    std::string edited = with_entry(source, *root, target, toml_quoted(new_name));
    Value value;
    value.kind = Value::Kind::text;
    value.text = std::string(new_name);
    at.element->entries.push_back({"name", {}, std::move(value)});
    return checked(std::move(edited), *root);
  }
  if (name->value.text == new_name) return {std::string(text), {}};
  Renaming renaming(*at.table, name->value.text, std::string(new_name));
  renaming.name(name->value);
  renaming.references("", *root);
  std::sort(renaming.swaps.begin(), renaming.swaps.end(), [&source](const Swap& a, const Swap& b) {
    return source.begin(a.region) < source.begin(b.region);
  });
  std::string edited;
  std::size_t done = 0;
  for (const Swap& swap : renaming.swaps) {
    const std::size_t from = source.begin(swap.region);
    if (from < done) return refused("this name cannot be changed in place; edit the file by hand");
    edited.append(text.substr(done, from - done)).append(swap.by);
    done = source.end(swap.region);
  }
  edited.append(text.substr(done));
  return checked(std::move(edited), *root);
}

Patched set_override(std::string_view text, std::string_view option, std::string_view path,
                     std::string_view value) {
  Diagnostics diagnostics;
  std::optional<Value> root = parse_toml(text, {}, diagnostics);
  if (!root) return refused(first_problem(diagnostics));
  const std::optional<Value> new_value = parse_value(value);
  if (!new_value) return refused("`" + std::string(value) + "` is not a TOML value");
  if (resolve_path(*root, path, {}, diagnostics).table == nullptr) {
    return refused(first_problem(diagnostics));
  }
  Patched problem;
  Value* set = find_set(*root, option, problem);
  if (set == nullptr) return problem;
  const Source source(text);
  if (const SetEntry found = find_override(*set, {}, path); found.entry != nullptr) {
    Value& old = found.entry->value;
    std::string edited = source.replaced(source.begin(old.region), source.end(old.region), value);
    old = *new_value;
    return checked(std::move(edited), *root);
  }
  const PathTarget target{set, {}, "option.set", toml_quoted(path)};
  std::string edited = with_entry(source, *root, target, std::string(value));
  set->entries.push_back({std::string(path), {}, *new_value});
  return checked(std::move(edited), *root);
}

Patched remove_override(std::string_view text, std::string_view option, std::string_view path) {
  Diagnostics diagnostics;
  std::optional<Value> root = parse_toml(text, {}, diagnostics);
  if (!root) return refused(first_problem(diagnostics));
  Patched problem;
  Value* set = find_set(*root, option, problem);
  if (set == nullptr) return problem;
  const SetEntry found = find_override(*set, {}, path);
  if (found.entry == nullptr) return refused("the option does not set " + toml_quoted(path));
  std::string edited = without_entry(Source(text), *found.table, *found.entry);
  auto& entries = found.table->entries;
  entries.erase(entries.begin() + (found.entry - entries.data()));
  return checked(std::move(edited), *root);
}

}  // namespace bight::plan
