#include "editor/editor.h"

#include <algorithm>

#include "editor/editor_state_detail.h"
#include "editor/key_value.h"

namespace bight::editor {

Editor::State::State(EditorOptions o)
    : options(std::move(o)),
      settings(load_settings(options.folders.config)),
      recovery(options.folders.state.empty() ? std::filesystem::path()
                                             : options.folders.state / "recovery"),
      remedy_task(options.wake),
      series_task(options.wake) {
  if (options.background) worker = std::make_unique<Worker>(options.wake);
}

Editor::Editor(EditorOptions options) : state_(std::make_unique<State>(std::move(options))) {}
Editor::~Editor() = default;

std::vector<std::string> Editor::State::option_names() const {
  std::vector<std::string> names = {""};
  for (const plan::Element& element : document.elements) {
    if (element.table->path == "option" && !element.name.empty()) names.push_back(element.name);
  }
  return names;
}

void Editor::State::take_text(std::string new_text, const std::string& new_option) {
  if (new_text != text) ++generation;
  text = std::move(new_text);
  option = new_option;
  ++revision;
  ++text_revision;
  document = plan::read_document(text, option);
  if (document.problem.empty()) {
    const auto names = option_names();
    if (std::find(names.begin(), names.end(), option) == names.end()) {
      option.clear();
      document = plan::read_document(text, option);
    }
    if (plan::find_element(document, selected) == nullptr) selected.clear();
  }
  Reading reading = read_model(text, file.string(), option, cache);
  diagnostics = std::move(reading.diagnostics);
  broken = reading.model == nullptr;
  if (!broken) {
    pose = model ? carried_pose(model->machine, pose, reading.model->machine)
                 : clamped_pose(reading.model->machine, {});
    model = std::move(reading.model);
    const CheckedOption* last = checked_option(option);
    live = std::make_shared<const LiveResult>(
        live_check.check(*model, options.threads, last == nullptr ? nullptr : last->study.get()));
    if (!drag) renew_tour();
  }
  std::erase_if(checked, [names = option_names(), this](const auto& item) {
    return document.problem.empty() &&
           std::find(names.begin(), names.end(), item.first) == names.end();
  });
  remember_background_only();
  update_findings();
}

void Editor::State::commit(const std::string& name, std::string new_text,
                           const std::string& new_option) {
  const std::string before = text;
  const std::string option_before = option;
  take_text(std::move(new_text), new_option);
  if (text != before) history.add(name, before, text, {option_before, option});
  keep_recovery();
  request_check();
}

void Editor::State::start_with(std::string new_text) {
  history.clear();
  drag.reset();
  checked.clear();
  background_only.clear();
  live.reset();
  model.reset();
  series = {};
  remedies = {};
  selected.clear();
  selected_finding.clear();
  hidden.clear();
  playing = false;
  tour_time = 0.0;
  there_text.reset();
  gone = false;
  first_generation = ++generation;
  take_text(std::move(new_text), {});
}

const std::string& Editor::text() const {
  return state_->text;
}
const plan::Document& Editor::document() const {
  return state_->document;
}
const std::shared_ptr<const Model>& Editor::model() const {
  return state_->model;
}
const std::vector<Diagnostic>& Editor::diagnostics() const {
  return state_->diagnostics;
}
bool Editor::broken() const {
  return state_->broken;
}
std::uint64_t Editor::revision() const {
  return state_->revision;
}
std::uint64_t Editor::text_revision() const {
  return state_->text_revision;
}

std::string Editor::apply(const Edit& edit) {
  return apply_all({edit}, edit_name(edit));
}

namespace {

/// A value of the wrong kind or out of its range is refused at the door; what only the whole plan
/// can tell becomes a diagnostic.
std::string problem_of_value(const plan::Document& document, const std::string& path,
                             const std::string& value) {
  const plan::KeyState* key = plan::find_key(document, path);
  if (key == nullptr) return {};
  return problem_of(*key->key, parse_value(*key->key, value), document.inches);
}

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

/// Where the selection is after an edit: it follows a name, and goes to what was added.
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

}  // namespace

std::string Editor::apply_all(const std::vector<Edit>& edits, const std::string& name) {
  State& s = *state_;
  if (s.drag) return "something is being dragged";
  std::string text = s.text;
  std::string option = s.option;
  for (const Edit& edit : edits) {
    if (std::string problem = problem_of_edit(s.document, edit); !problem.empty()) return problem;
    plan::Patched patched = edited_text(text, option, edit);
    if (!patched.problem.empty()) return patched.problem;
    text = std::move(patched.text);
    const auto* rename = std::get_if<RenameElement>(&edit);
    if (rename != nullptr && rename->path == "option." + option) option = rename->name;
  }
  const plan::Document before = s.document;
  const std::string selected = s.selected;
  s.commit(name, std::move(text), option);
  for (const Edit& edit : edits) {
    const std::string path = selection_after(before, s.document, edit, selected);
    if (plan::find_element(s.document, path) != nullptr) s.selected = path;
  }
  return {};
}

std::string Editor::set_text(std::string text, const std::string& name) {
  State& s = *state_;
  if (s.drag) return "something is being dragged";
  if (text != s.text) s.commit(name, std::move(text), s.option);
  return {};
}

std::string Editor::undo() {
  State& s = *state_;
  if (s.drag) cancel_drag();
  if (!s.history.can_undo()) return "there is nothing to undo";
  History::Mark mark;
  std::string text = s.history.undo(s.text, mark);
  s.take_text(std::move(text), mark.before);
  s.keep_recovery();
  s.request_check();
  return {};
}

std::string Editor::redo() {
  State& s = *state_;
  if (s.drag) return "something is being dragged";
  if (!s.history.can_redo()) return "there is nothing to do again";
  History::Mark mark;
  std::string text = s.history.redo(s.text, mark);
  s.take_text(std::move(text), mark.after);
  s.keep_recovery();
  s.request_check();
  return {};
}

std::string Editor::undo_name() const {
  return state_->history.undo_name();
}
std::string Editor::redo_name() const {
  return state_->history.redo_name();
}
const std::string& Editor::option() const {
  return state_->option;
}
std::vector<std::string> Editor::options() const {
  return state_->option_names();
}

std::string Editor::choose_option(const std::string& name) {
  State& s = *state_;
  if (s.drag) return "something is being dragged";
  const auto names = s.option_names();
  if (std::find(names.begin(), names.end(), name) == names.end()) {
    return "there is no option " + plan::toml_text(name);
  }
  if (name == s.option) return {};
  s.take_text(s.text, name);
  s.request_check();
  return {};
}

std::string Editor::add_option(const std::string& name, const std::string& about) {
  State& s = *state_;
  if (s.drag) return "something is being dragged";
  if (name.empty() || name.find('.') != std::string::npos) {
    return "a name is not empty and has no dots";
  }
  plan::Patched patched;
  if (s.option.empty()) {
    patched = plan::append_option(s.text, name, about, {});
  } else {
    patched = plan::duplicate_element(s.text, "option." + s.option, name);
    if (patched.problem.empty() && !about.empty()) {
      patched = plan::set_value(patched.text, "option." + name + ".about", plan::toml_text(about));
    }
  }
  if (!patched.problem.empty()) return patched.problem;
  s.commit("add option " + name, std::move(patched.text), name);
  return {};
}

}  // namespace bight::editor
