#include "editor/new_element.h"

#include <algorithm>

#include "base/number.h"
#include "base/units.h"

namespace bight::editor {
namespace {

bool share_names(const std::string& a, const std::string& b) {
  const auto in = [](const std::string& table, std::initializer_list<const char*> group) {
    return std::find(group.begin(), group.end(), table) != group.end();
  };
  const auto both = [&](std::initializer_list<const char*> group) {
    return in(a, group) && in(b, group);
  };
  return a == b || both({"part", "body", "chain"}) || both({"anchor", "support"});
}

bool taken(const plan::Document& document, const std::string& table, const std::string& name) {
  return name == "ground" || name == "base" ||
         std::any_of(document.elements.begin(), document.elements.end(),
                     [&](const plan::Element& e) {
                       return e.name == name && share_names(e.table->path, table);
                     });
}

/// A number that the range allows: 10 mm, 1, or what lies nearest.
double starting_number(const plan::Key& key, bool inches) {
  const bool length = key.unit == plan::Unit::length;
  double value = length ? 100.0 : 1.0;
  if (key.range) value = std::clamp(value, key.range->low, key.range->high);
  return length && inches ? value / k_mm_per_inch : value;
}

std::string row(double value, int count) {
  std::string text = "[";
  for (int i = 0; i < count; ++i) text += (i > 0 ? ", " : "") + shortest(value);
  return text + "]";
}

std::string quoted_list(const std::vector<std::string>& words) {
  std::string text = "[";
  for (const std::string& word : words) {
    text += (text.size() > 1 ? ", " : "") + plan::toml_text(word);
  }
  return text + "]";
}

/// TOML text to start with, or nothing.
std::string starting_value(const plan::Document& document, const plan::Key& key) {
  const double number = starting_number(key, document.inches);
  const bool position = key.range && key.range->low < 0.0;
  switch (key.type) {
    case plan::KeyType::text:
    case plan::KeyType::path:
      return {};
    case plan::KeyType::name:
      return key.choices.empty() ? std::string() : plan::toml_text(key.choices.front());
    case plan::KeyType::choice:
      return key.choices.empty() ? std::string() : plan::toml_text(key.choices.front());
    case plan::KeyType::reference: {
      const auto names = plan::names_for(document, key);
      return names.empty() ? std::string() : plan::toml_text(names.back());
    }
    case plan::KeyType::references:
      return "[]";
    case plan::KeyType::reference_pair: {
      const auto names = plan::names_for(document, key);
      return names.size() < 2 ? std::string() : quoted_list({names[0], names[1]});
    }
    case plan::KeyType::boolean:
      return "false";
    case plan::KeyType::whole_number:
      return shortest(key.range ? std::max(key.range->low, 1.0) : 1.0);
    case plan::KeyType::number:
      return shortest(number);
    case plan::KeyType::numbers:
      return row(number, static_cast<int>(key.minimum_items));
    case plan::KeyType::interval:
      return "[0, " + shortest(number) + "]";
    case plan::KeyType::pair:
      return row(position ? 0.0 : number, 2);
    case plan::KeyType::vector:
      return row(position ? 0.0 : number, 3);
    case plan::KeyType::direction:
      return "[1, 0, 0]";
    case plan::KeyType::pairs:
      return "[[0, 0], [" + shortest(number) + ", 0], [0, " + shortest(number) + "]]";
    case plan::KeyType::vectors:
      return "[[0, 0, 0], [" + shortest(number) + ", 0, 0]]";
    case plan::KeyType::values_by_path:
      return {};
  }
  return {};
}

}  // namespace

std::string free_name(const plan::Document& document, const std::string& table,
                      const std::string& like) {
  if (!taken(document, table, like)) return like;
  std::string stem = like;
  const std::size_t space = stem.rfind(' ');
  if (space != std::string::npos && space > 0 && parse_number(stem.substr(space + 1))) {
    stem.erase(space);
  }
  for (int i = 2;; ++i) {
    std::string name = stem + " " + std::to_string(i);
    if (!taken(document, table, name)) return name;
  }
}

std::vector<plan::PathValue> starting_values(const plan::Document& document,
                                             const std::string& table,
                                             std::vector<plan::PathValue> given) {
  std::vector<plan::PathValue> values;
  const std::vector<plan::PathValue> asked = given;
  const auto find_in = [](auto& all, const std::string& key) {
    return std::find_if(all.begin(), all.end(),
                        [&](const plan::PathValue& v) { return v.path == key; });
  };
  // Whether a key belongs to this kind of element follows from what was given, else from defaults.
  const auto applies = [&](const plan::Key& key) {
    if (!key.only_for) return true;
    std::string chosen;
    for (const plan::Key& other : plan::all_keys()) {
      if (other.table != table || other.name != key.only_for->key) continue;
      const auto it = find_in(asked, other.name);
      chosen = it != asked.end() ? it->value
               : other.required  ? starting_value(document, other)
                                 : other.standard;
    }
    std::erase(chosen, '"');
    const auto& kinds = key.only_for->values;
    return std::find(kinds.begin(), kinds.end(), chosen) != kinds.end();
  };
  for (const plan::Key& key : plan::all_keys()) {
    if (key.table != table) continue;
    const auto it = find_in(given, key.name);
    if (it != given.end()) {
      values.push_back(*it);
      given.erase(it);
      continue;
    }
    if (!key.required || !applies(key)) continue;
    std::string value = starting_value(document, key);
    if (key.type == plan::KeyType::name && key.choices.empty()) {
      const std::size_t dot = table.rfind('.');
      value = plan::toml_text(free_name(
          document, table, "new " + table.substr(dot == std::string::npos ? 0 : dot + 1)));
    } else if (key.type == plan::KeyType::name) {
      for (const std::string& choice : key.choices) {
        if (taken(document, table, choice)) continue;
        value = plan::toml_text(choice);
        break;
      }
    }
    if (!value.empty()) values.push_back({key.name, std::move(value)});
  }
  values.insert(values.end(), given.begin(), given.end());
  return values;
}

}  // namespace bight::editor
