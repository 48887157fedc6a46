#include "editor/editor.h"

#include <algorithm>

#include "editor/edit_effect.h"
#include "editor/editor_state_detail.h"

namespace bight::editor {

Editor::State::State(EditorOptions o)
    : options(std::move(o)),
      settings(load_settings(options.folders.config)),
      recovery(options.folders.state.empty() ? std::filesystem::path()
                                             : options.folders.state / "recovery"),
      remedy_task(options.wake),
      series_task(options.wake) {
  live_check = LiveCheck(settings.unit);
  if (!options.background) return;
  worker = std::make_unique<Worker>(options.wake);
  brief = options.brief_opening;
}

Editor::Editor(EditorOptions options) : state_(std::make_unique<State>(std::move(options))) {}
Editor::~Editor() {
  state_->write_settings();
}

std::vector<std::string> options_of(const plan::Document& document) {
  std::vector<std::string> names = {""};
  for (const plan::Element& element : document.elements) {
    if (element.table->path == "option" && !element.name.empty()) names.push_back(element.name);
  }
  return names;
}

std::vector<std::string> Editor::State::option_names() const {
  return options_of(document);
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
    if (!brief) look_live();
    if (!drag) renew_tour();
  }
  std::erase_if(checked, [names = option_names(), this](const auto& item) {
    return document.problem.empty() &&
           std::find(names.begin(), names.end(), item.first) == names.end();
  });
  remember_background_only();
  update_findings();
}

void Editor::State::look_live() {
  const CheckedOption* last = checked_option(option);
  live = std::make_shared<const LiveResult>(
      live_check.check(*model, options.threads, last == nullptr ? nullptr : last->study.get()));
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

void Editor::State::start_with(std::string new_text, const std::string& new_option) {
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
  take_text(std::move(new_text), new_option);
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
