#include "plan/document.h"

#include <algorithm>
#include <map>

#include "plan/frame_names.h"
#include "plan/locate_detail.h"
#include "plan/option.h"
#include "plan/patch_text_detail.h"

namespace bight::plan {
namespace {

std::string joined(const std::string& path, const std::string& component) {
  return path.empty() ? component : path + "." + component;
}

bool is_directly_inside(const KeyTable& inner, const std::string& outer) {
  if (inner.path.empty() || inner.path == outer) return false;
  const std::size_t dot = inner.path.rfind('.');
  return (dot == std::string::npos ? "" : inner.path.substr(0, dot)) == outer;
}

/// The keys of each table, found once.
const std::map<std::string, std::vector<const Key*>>& keys_by_table() {
  static const auto by_table = [] {
    std::map<std::string, std::vector<const Key*>> found;
    for (const Key& key : all_keys()) found[key.table].push_back(&key);
    return found;
  }();
  return by_table;
}

/// Reads the tree of a file into elements.
class Walk {
 public:
  Walk(std::string_view text, const Value& root, std::string_view option, Document& out)
      : source_(text), out_(out) {
    const Entry* options = root.find("option");
    if (options == nullptr || option.empty()) return;
    for (const Value& item : options->value.items) {
      const std::string* name = name_of(item);
      const Entry* set = item.find("set");
      if (name == nullptr || *name != option || set == nullptr) continue;
      for (const WrittenOverride& written : written_overrides(set->value)) {
        overrides_[written.path] = written.value;
      }
    }
  }

  void add(const KeyTable& table, const Value* value, const std::string& path,
           const std::string& parent, std::size_t number) {
    Element element;
    element.table = &table;
    element.path = path;
    element.parent = parent;
    element.number = number;
    element.in_file = value != nullptr;
    if (value != nullptr) {
      const std::string* name = name_of(*value);
      if (table.named && name != nullptr) element.name = *name;
      element.line = value->region.line;
    }
    const auto keys = keys_by_table().find(table.path);
    if (keys != keys_by_table().end()) {
      for (const Key* key : keys->second) element.keys.push_back(state(*key, value, path));
    }
    for (KeyState& key : element.keys) key.applies = applies(*key.key, element);
    out_.elements.push_back(std::move(element));
    for (const KeyTable& inner : all_key_tables()) {
      if (is_directly_inside(inner, table.path)) add_inner(inner, value, path);
    }
  }

 private:
  void add_inner(const KeyTable& table, const Value* outer, const std::string& outer_path) {
    const std::size_t dot = table.path.rfind('.');
    const std::string word = dot == std::string::npos ? table.path : table.path.substr(dot + 1);
    const Entry* entry = outer != nullptr ? outer->find(word) : nullptr;
    const std::string path = joined(outer_path, word);
    if (!table.repeated) {
      const bool there = entry != nullptr && entry->value.kind == Value::Kind::table;
      add(table, there ? &entry->value : nullptr, path, outer_path, 0);
      return;
    }
    if (entry == nullptr || entry->value.kind != Value::Kind::list) return;
    std::vector<std::string> taken;
    for (std::size_t i = 0; i < entry->value.items.size(); ++i) {
      const Value& item = entry->value.items[i];
      if (item.kind != Value::Kind::table) continue;
      std::string component = std::to_string(i + 1);
      const std::string* name = name_of(item);
      if (table.named && name != nullptr && !name->empty() &&
          name->find('.') == std::string::npos &&
          std::find(taken.begin(), taken.end(), *name) == taken.end()) {
        component = *name;
        taken.push_back(*name);
      }
      add(table, &item, joined(path, component), outer_path, i + 1);
    }
  }

  KeyState state(const Key& key, const Value* table, const std::string& path) const {
    KeyState state;
    state.key = &key;
    state.path = joined(path, key.name);
    const Entry* entry = table != nullptr ? table->find(key.name) : nullptr;
    if (entry != nullptr && key.type != KeyType::values_by_path) {
      state.origin = Origin::file;
      state.value = std::string(source_.text(entry->value.region));
      state.plan_value = state.value;
      state.line = entry->value.region.line;
    }
    if (const auto over = overrides_.find(state.path); over != overrides_.end()) {
      state.origin = Origin::option;
      state.value = std::string(source_.text(over->second->region));
      state.line = over->second->region.line;
    }
    return state;
  }

  static bool applies(const Key& key, const Element& element) {
    if (!key.only_for) return true;
    for (const KeyState& other : element.keys) {
      if (other.key->name != key.only_for->key) continue;
      std::string value = other.value.empty() ? other.key->standard : other.value;
      std::erase_if(value, [](char c) { return c == '"' || c == '\''; });
      const auto& values = key.only_for->values;
      return std::find(values.begin(), values.end(), value) != values.end();
    }
    return true;
  }

  Source source_;
  Document& out_;
  std::map<std::string, const Value*> overrides_;
};

}  // namespace

Document read_document(std::string_view text, std::string_view option) {
  Document document;
  Diagnostics diagnostics;
  const std::optional<Value> root = parse_toml(text, {}, diagnostics);
  if (!root) {
    document.problem = "Line " + std::to_string(diagnostics.items().front().place.line) + ": " +
                       first_problem(diagnostics);
    return document;
  }
  const Entry* units = root->find("units");
  document.inches = units != nullptr && units->value.text == "in";
  Walk(text, *root, option, document).add(all_key_tables().front(), &*root, "", "", 0);
  return document;
}

const Element* find_element(const Document& document, std::string_view path) {
  for (const Element& element : document.elements) {
    if (element.path == path) return &element;
  }
  return nullptr;
}

const KeyState* find_key(const Document& document, std::string_view path) {
  const std::size_t dot = path.rfind('.');
  const Element* element = find_element(
      document, dot == std::string_view::npos ? std::string_view() : path.substr(0, dot));
  if (element == nullptr) return nullptr;
  for (const KeyState& key : element->keys) {
    if (key.path == path) return &key;
  }
  return nullptr;
}

std::vector<std::string> names_for(const Document& document, const Key& key) {
  std::vector<std::string> names;
  const auto add = [&names](const std::string& name) {
    if (!name.empty() && std::find(names.begin(), names.end(), name) == names.end()) {
      names.push_back(name);
    }
  };
  for (const std::string& table : key.refers_to) {
    if (table == "body") add(k_ground);
    const KeyState* arrangement = find_key(document, "frame.arrangement");
    const Element* frame = find_element(document, "frame");
    if (frame != nullptr && frame->in_file) {
      Frame made;
      made.moving_table =
          arrangement != nullptr && arrangement->value.find("table") != std::string::npos;
      if (table == "body") {
        for (const std::string& body : frame_body_names(made)) add(body);
      }
      if (table == "part") {
        for (const char* part : k_frame_part_names) add(part);
      }
    }
    for (const Element& element : document.elements) {
      if (element.table->path == table) add(element.name);
    }
  }
  return names;
}

}  // namespace bight::plan
