#include "editor/edit.h"

#include <algorithm>

#include "editor/new_element.h"
#include "plan/patch.h"

namespace bight::editor {
namespace {

using plan::Patched;

Patched refused(std::string problem) {
  return {{}, std::move(problem)};
}

std::string parent_of(std::string_view path) {
  const std::size_t dot = path.rfind('.');
  return std::string(dot == std::string_view::npos ? std::string_view() : path.substr(0, dot));
}

/// Values that no option can override.
bool is_of_the_plan(std::string_view path) {
  return path.find('.') == std::string_view::npos || path.rfind("option.", 0) == 0;
}

/// The name of an element, which others refer to; not that of the plan or of its work offset.
bool is_name(std::string_view path) {
  const std::string_view ending = ".name";
  return path.size() > ending.size() && path.substr(path.size() - ending.size()) == ending &&
         path != "work_offset.name";
}

bool has_present(std::string_view table) {
  return std::any_of(plan::all_keys().begin(), plan::all_keys().end(), [&](const plan::Key& key) {
    return key.table == table && key.name == "present";
  });
}

/// What an edit does, one function a kind.
struct Editing {
  std::string_view text;
  std::string_view option;

  Patched set(std::string_view before, const std::string& path, const std::string& value) const {
    if (is_name(path)) return plan::rename_element(before, parent_of(path), word_of(value));
    if (option.empty() || is_of_the_plan(path)) return plan::set_value(before, path, value);
    return plan::set_override(before, option, path, value);
  }

  Patched operator()(const SetValue& edit) const { return set(text, edit.path, edit.value); }

  Patched operator()(const SetValues& edit) const {
    Patched patched{std::string(text), {}};
    for (const plan::PathValue& v : edit.values) {
      patched = set(patched.text, v.path, v.value);
      if (!patched.problem.empty()) return patched;
    }
    return patched;
  }

  Patched operator()(const RemoveValue& edit) const {
    if (option.empty() || is_of_the_plan(edit.path)) return plan::remove_value(text, edit.path);
    Patched patched = plan::remove_override(text, option, edit.path);
    if (patched.problem.empty()) return patched;
    return refused("the option \"" + std::string(option) + "\" does not set " + edit.path +
                   "; choose the plan as written to remove it there");
  }

  Patched operator()(const AddElement& edit) const {
    const plan::Document document = plan::read_document(text, option);
    if (!document.problem.empty()) return refused(document.problem);
    plan::NewElement element = edit.element;
    element.values = starting_values(document, element.table, element.values);
    const bool in_option = !option.empty() && has_present(element.table);
    const std::string name = word(element, "name");
    if (in_option) {
      std::erase_if(element.values, [](const plan::PathValue& v) { return v.path == "present"; });
      element.values.push_back({"present", "false"});
    }
    if (element.table == "option")
      return plan::append_option(text, name, word(element, "about"), {});
    Patched patched = plan::add_element(text, element);
    if (!in_option || !patched.problem.empty()) return patched;
    return plan::set_override(patched.text, option, element.table + "." + name + ".present",
                              "true");
  }

  Patched operator()(const RemoveElement& edit) const {
    const plan::Document document = plan::read_document(text, option);
    const plan::Element* element = plan::find_element(document, edit.path);
    if (element == nullptr || element->path.empty()) {
      return refused("there is no " + edit.path + " in this plan");
    }
    const std::string& table = element->table->path;
    if (option.empty() || table == "option") return plan::remove_element(text, edit.path);
    if (!has_present(table)) {
      return refused("an option cannot leave out " + edit.path +
                     "; choose the plan as written to remove it from every option");
    }
    return plan::set_override(text, option, edit.path + ".present", "false");
  }

  Patched operator()(const DuplicateElement& edit) const {
    const plan::Document document = plan::read_document(text, option);
    const plan::Element* element = plan::find_element(document, edit.path);
    if (element == nullptr) return refused("there is no " + edit.path + " in this plan");
    const std::string& table = element->table->path;
    std::string name = edit.name;
    if (element->table->named && name.empty()) name = free_name(document, table, element->name);
    Patched patched = plan::duplicate_element(text, edit.path, name);
    if (!patched.problem.empty() || option.empty() || !has_present(table)) return patched;
    // The copy is there in this option alone, and with the option's values.
    const std::string copy = table + "." + name;
    patched = plan::set_value(patched.text, copy + ".present", "false");
    if (!patched.problem.empty()) return patched;
    patched = plan::set_override(patched.text, option, copy + ".present", "true");
    for (const plan::KeyState& key : element->keys) {
      if (!patched.problem.empty()) return patched;
      if (key.origin != plan::Origin::option || key.key->name == "present") continue;
      patched = plan::set_override(patched.text, option, copy + "." + key.key->name, key.value);
    }
    return patched;
  }

  Patched operator()(const MoveElement& edit) const {
    return plan::move_element(text, edit.path, edit.number);
  }

  Patched operator()(const RenameElement& edit) const {
    return plan::rename_element(text, edit.path, edit.name);
  }

 private:
  static std::string word(const plan::NewElement& element, std::string_view key) {
    for (const plan::PathValue& v : element.values) {
      if (v.path == key) return word_of(v.value);
    }
    return {};
  }

  /// The word of a quoted TOML text.
  static std::string word_of(const std::string& toml) {
    if (toml.size() < 2) return toml;
    std::string word;
    for (std::size_t i = 1; i + 1 < toml.size(); ++i) {
      if (toml.front() == '"' && toml[i] == '\\' && i + 2 < toml.size()) ++i;
      word += toml[i];
    }
    return word;
  }
};

}  // namespace

Patched edited_text(std::string_view text, std::string_view option, const Edit& edit) {
  return std::visit(Editing{text, option}, edit);
}

std::string edit_name(const Edit& edit) {
  struct Name {
    std::string operator()(const SetValue& e) const { return "set " + e.path; }
    std::string operator()(const SetValues& e) const { return e.what; }
    std::string operator()(const RemoveValue& e) const { return "clear " + e.path; }
    std::string operator()(const AddElement& e) const { return "add " + e.element.table; }
    std::string operator()(const RemoveElement& e) const { return "remove " + e.path; }
    std::string operator()(const DuplicateElement& e) const { return "duplicate " + e.path; }
    std::string operator()(const MoveElement& e) const { return "move " + e.path; }
    std::string operator()(const RenameElement& e) const {
      return "rename " + e.path + " to " + e.name;
    }
  };
  return std::visit(Name{}, edit);
}

}  // namespace bight::editor
