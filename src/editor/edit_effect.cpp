#include "editor/edit_effect.h"

#include "editor/key_value.h"

namespace bight::editor {
namespace {

/// A value of the wrong kind or out of its range is refused at the door; what only the whole plan
/// can tell becomes a diagnostic.
std::string problem_of_value(const plan::Document& document, const std::string& path,
                             const std::string& value) {
  const plan::KeyState* key = plan::find_key(document, path);
  if (key == nullptr) return {};
  return problem_of(*key->key, parse_value(*key->key, value), document.inches);
}

}  // namespace

std::string problem_of_edit(const plan::Document& document, const Edit& edit) {
  if (const auto* set = std::get_if<SetValue>(&edit)) {
    return problem_of_value(document, set->path, set->value);
  }
  if (const auto* rename = std::get_if<RenameElement>(&edit)) {
    return problem_of_value(document, rename->path + ".name", plan::toml_text(rename->name));
  }
  if (const auto* all = std::get_if<SetValues>(&edit)) {
    for (const plan::PathValue& v : all->values) {
      std::string problem = problem_of_value(document, v.path, v.value);
      if (!problem.empty()) return v.path + ": " + problem;
    }
  }
  return {};
}

std::string selection_after(const plan::Document& before, const plan::Document& after,
                            const Edit& edit, const std::string& selected) {
  if (const auto* rename = std::get_if<RenameElement>(&edit)) {
    if (selected.rfind(rename->path, 0) != 0) return selected;
    const std::size_t dot = rename->path.rfind('.');
    return rename->path.substr(0, dot + 1) + rename->name + selected.substr(rename->path.size());
  }
  const bool adds =
      std::holds_alternative<AddElement>(edit) || std::holds_alternative<DuplicateElement>(edit);
  if (!adds) return selected;
  for (const plan::Element& element : after.elements) {
    const plan::Element* old = plan::find_element(before, element.path);
    if (element.in_file && (old == nullptr || !old->in_file)) return element.path;
  }
  return selected;
}

}  // namespace bight::editor
