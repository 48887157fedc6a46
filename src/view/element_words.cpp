#include "view/element_words.h"

#include <algorithm>

namespace bight::view {
namespace {

/// "run.leg": "leg"; "limit_switch": "limit switch".
std::string table_word(const plan::KeyTable& table) {
  const std::size_t dot = table.path.rfind('.');
  std::string word = dot == std::string::npos ? table.path : table.path.substr(dot + 1);
  std::ranges::replace(word, '_', ' ');
  return word;
}

/// What is chosen at the first key that is a choice or names another element.
std::string kind_of(const plan::Element& element) {
  for (const plan::KeyState& state : element.keys) {
    const bool tells =
        state.key->type == plan::KeyType::choice || state.key->type == plan::KeyType::reference;
    if (!tells || state.value.empty()) continue;
    std::string value = state.value;
    std::erase_if(value, [](char c) { return c == '"' || c == '\''; });
    return value;
  }
  return {};
}

}  // namespace

std::string element_label(const plan::Element& element) {
  if (!element.name.empty()) return element.name;
  if (element.path.empty()) return "the plan itself";
  std::string label = table_word(*element.table);
  if (element.number == 0) return label;
  label += " " + std::to_string(element.number);
  const std::string kind = kind_of(element);
  return kind.empty() ? label : label + ": " + kind;
}

std::string element_title(const plan::Document& document, const plan::Element& element) {
  if (element.path.empty()) return "plan";
  std::string title = table_word(*element.table);
  if (!element.name.empty()) {
    title += " " + element.name;
  } else if (element.number > 0) {
    title += " " + std::to_string(element.number);
  }
  const plan::Element* parent =
      element.parent.empty() ? nullptr : plan::find_element(document, element.parent);
  return parent == nullptr ? title : title + " of " + element_title(document, *parent);
}

}  // namespace bight::view
