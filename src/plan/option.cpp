#include "plan/option.h"

#include <algorithm>

#include "base/number.h"
#include "plan/keys.h"
#include "plan/nearest.h"
#include "plan/plan.h"

namespace bight::plan {
namespace {

void add_overrides(const Value& table, const std::string& prefix,
                   std::vector<WrittenOverride>& written) {
  for (const Entry& entry : table.entries) {
    const std::string path = prefix.empty() ? entry.key : prefix + "." + entry.key;
    if (entry.value.kind == Value::Kind::table) {
      add_overrides(entry.value, path, written);
    } else {
      written.push_back({path, entry.key_region, &entry.value});
    }
  }
}

std::vector<std::string> components(std::string_view path) {
  std::vector<std::string> parts;
  while (true) {
    const std::size_t dot = path.find('.');
    parts.emplace_back(path.substr(0, dot));
    if (dot == std::string_view::npos) return parts;
    path.remove_prefix(dot + 1);
  }
}

const KeyTable* find_table(const std::string& path) {
  for (const KeyTable& table : all_key_tables()) {
    if (table.path == path) return &table;
  }
  return nullptr;
}

/// Names of the keys and of the tables inside a table.
std::vector<std::string> names_inside(const std::string& path, bool with_keys) {
  std::vector<std::string> names;
  const std::string prefix = path.empty() ? "" : path + ".";
  for (const KeyTable& table : all_key_tables()) {
    if (table.path.empty() || table.path.rfind(prefix, 0) != 0) continue;
    const std::string name = table.path.substr(prefix.size());
    if (name.find('.') == std::string::npos && !name.empty()) names.push_back(name);
  }
  if (!with_keys) return names;
  for (const Key& key : all_keys()) {
    if (key.table == path) names.push_back(key.name);
  }
  return names;
}

/// Follows one path; adds one diagnostic and stops at the first component that does not exist.
class PathWalk {
 public:
  PathWalk(std::string_view path, const Place& place, Diagnostics& diagnostics,
           std::string label = {})
      : path_(path),
        place_(place),
        diagnostics_(diagnostics),
        label_(std::move(label)),
        parts_(components(path)) {}

  PathTarget walk(Value& root) {
    PathTarget target;
    target.table = &root;
    std::string table_path;
    std::size_t next = 0;
    while (next + 1 < parts_.size()) {
      const std::string inner = (table_path.empty() ? "" : table_path + ".") + parts_[next];
      const KeyTable* table = find_table(inner);
      if (table == nullptr) return unknown(parts_[next], table_path, "table", false);
      if (inner == "option") {
        return fail("options cannot be overridden");
      }
      if (!(table->repeated ? enter_element(*table, next, target)
                            : enter_single(parts_[next], target))) {
        return {};
      }
      next += table->repeated ? 2 : 1;
      table_path = inner;
    }
    if (next >= parts_.size() || table_path.empty()) {
      return fail("a path leads to a key: table.name.key, table.number.key or table.key");
    }
    return finish(table_path, std::move(target));
  }

 private:
  PathTarget finish(const std::string& table_path, PathTarget target) {
    const std::string& name = parts_.back();
    const auto key = std::find_if(all_keys().begin(), all_keys().end(), [&](const Key& k) {
      return k.table == table_path && k.name == name;
    });
    if (key == all_keys().end()) {
      if (find_table(table_path + "." + name) != nullptr) {
        return fail("'" + name + "' is a table; the path must go on to one of its keys");
      }
      return unknown(name, table_path, "key", true);
    }
    if (key->type == KeyType::name) {
      return fail("a name cannot be overridden, other elements refer to it");
    }
    target.key_table = table_path;
    target.key = name;
    return target;
  }

  bool enter_single(const std::string& name, PathTarget& target) {
    Entry* entry = target.missing.empty() ? target.table->find(name) : nullptr;
    if (entry == nullptr) {
      target.missing.push_back(name);
    } else if (entry->value.kind == Value::Kind::table) {
      target.table = &entry->value;
    } else {
      fail("'" + name + "' is no table in this file");
      return false;
    }
    return true;
  }

  /// Enters the element that the component after `next` names.
  bool enter_element(const KeyTable& table, std::size_t next, PathTarget& target) {
    const std::string& table_name = parts_[next];
    if (next + 1 >= parts_.size()) {
      fail("after '" + table_name + "' comes the " + (table.named ? "name" : "number") +
           " of an element");
      return false;
    }
    const std::string& wanted = parts_[next + 1];
    Entry* entry = target.missing.empty() ? target.table->find(table_name) : nullptr;
    const bool usable = entry != nullptr && entry->value.kind == Value::Kind::list;
    const std::size_t count = usable ? entry->value.items.size() : 0;
    if (!table.named) {
      const auto number = parse_number(wanted);
      for (std::size_t i = 0; i < count; ++i) {
        if (number && *number == static_cast<double>(i + 1)) {
          target.table = &entry->value.items[i];
          return target.table->kind == Value::Kind::table;
        }
      }
      fail("there is no " + table_name + " " + describe_component(wanted),
           count == 0 ? "the plan has none here" : "a number from 1 to " + std::to_string(count));
      return false;
    }
    const auto name_of = [entry](std::size_t i) {
      const Entry* name = entry->value.items[i].find("name");
      return name != nullptr && name->value.kind == Value::Kind::text ? &name->value.text : nullptr;
    };
    for (std::size_t i = 0; i < count; ++i) {
      const std::string* name = name_of(i);
      if (name == nullptr || *name != wanted) continue;
      target.table = &entry->value.items[i];
      return true;
    }
    std::vector<std::string> names;
    for (std::size_t i = 0; i < count; ++i) {
      if (const std::string* name = name_of(i)) names.push_back(*name);
    }
    const std::string meant = nearest(wanted, names);
    fail("there is no " + table_name + " " + describe_component(wanted) +
             (meant.empty() ? "" : ": did you mean " + toml_quoted(meant) + "?"),
         listed(names));
    return false;
  }

  static std::string describe_component(const std::string& component) {
    Value value;
    value.kind = Value::Kind::text;
    value.text = component;
    return describe(value);
  }

  static std::string listed(const std::vector<std::string>& names) {
    constexpr std::size_t k_listed = 12;
    if (names.empty()) return "the plan has none";
    if (names.size() > k_listed) {
      return "the name of one of the " + std::to_string(names.size()) + " there are";
    }
    std::string text;
    for (const std::string& name : names) text += (text.empty() ? "" : " or ") + toml_quoted(name);
    return text;
  }

  PathTarget unknown(const std::string& name, const std::string& table_path, const char* kind,
                     bool with_keys) {
    const std::vector<std::string> names = names_inside(table_path, with_keys);
    const std::string meant = nearest(name, names);
    std::string all;
    for (const std::string& known : names) all += (all.empty() ? "" : ", ") + known;
    if (names.empty()) all = "no table inside '" + table_path + "'";
    return fail(std::string("there is no ") + kind + " " + describe_component(name) +
                    (table_path.empty() ? "" : " in '" + table_path + "'") +
                    (meant.empty() ? "" : ": did you mean '" + meant + "'?"),
                meant.empty() ? all : "");
  }

  PathTarget fail(const std::string& problem, std::string allowed = {}) {
    diagnostics_.error(place_,
                       label_ + "the path " + describe_component(std::string(path_)) +
                           " leads nowhere: " + problem,
                       {}, std::move(allowed));
    return {};
  }

  std::string_view path_;
  const Place& place_;
  Diagnostics& diagnostics_;
  std::string label_;  ///< of the option that has the path
  std::vector<std::string> parts_;
};

/// The [option.set] of each option by name.
const Value* find_set(const Value& option) {
  const Entry* set = option.find("set");
  return set != nullptr && set->value.kind == Value::Kind::table ? &set->value : nullptr;
}

const Value* find_option(const Value& root, std::string_view name) {
  const Entry* options = root.find("option");
  if (options == nullptr) return nullptr;
  for (const Value& option : options->value.items) {
    const Entry* entry = option.find("name");
    if (entry != nullptr && entry->value.kind == Value::Kind::text && entry->value.text == name) {
      return &option;
    }
  }
  return nullptr;
}

}  // namespace

std::vector<WrittenOverride> written_overrides(const Value& set) {
  std::vector<WrittenOverride> written;
  add_overrides(set, {}, written);
  return written;
}

PathTarget resolve_path(Value& root, std::string_view path, const Place& place,
                        Diagnostics& diagnostics) {
  return PathWalk(path, place, diagnostics).walk(root);
}

bool apply_option(Value& root, std::string_view option, const std::string& file,
                  Diagnostics& diagnostics) {
  const Value* found = find_option(root, option);
  if (found == nullptr) return false;
  const Value* set = find_set(*found);
  if (set == nullptr) return true;
  const Value overrides = *set;  // a copy: the tree changes under it
  const std::vector<WrittenOverride> all = written_overrides(overrides);
  if (all.size() > k_overrides_limit) return true;  // reported by check_option_paths
  for (const WrittenOverride& written : all) {
    const Place place{file, written.path_region.line, written.path_region.column};
    const PathTarget target = resolve_path(root, written.path, place, diagnostics);
    if (target.table == nullptr) continue;
    Value* table = target.table;
    for (const std::string& name : target.missing) {
      Value made;
      made.region = written.path_region;
      table->entries.push_back({name, written.path_region, std::move(made)});
      table = &table->entries.back().value;
    }
    if (Entry* entry = table->find(target.key)) {
      entry->key_region = written.path_region;
      entry->value = *written.value;
    } else {
      table->entries.push_back({target.key, written.path_region, *written.value});
    }
  }
  return true;
}

void check_option_paths(Value& root, const std::string& file, Diagnostics& diagnostics) {
  const Entry* options = root.find("option");
  if (options == nullptr) return;
  for (const Value& option : options->value.items) {
    const Value* set = find_set(option);
    if (set == nullptr) continue;
    const Entry* name = option.find("name");
    const std::string label =
        "option" + (name != nullptr ? " " + describe(name->value) : std::string()) + ": ";
    const std::vector<WrittenOverride> all = written_overrides(*set);
    if (all.size() > k_overrides_limit) {
      diagnostics.error({file, option.region.line, option.region.column},
                        label + "there are too many overrides", std::to_string(all.size()),
                        std::to_string(k_overrides_limit) + " at most");
      continue;
    }
    for (const WrittenOverride& written : all) {
      const Place place{file, written.path_region.line, written.path_region.column};
      PathWalk(written.path, place, diagnostics, label).walk(root);
    }
  }
}

std::string option_label(const std::string& option) {
  return option.empty() || option == k_base_option ? "as written" : option;
}

}  // namespace bight::plan
