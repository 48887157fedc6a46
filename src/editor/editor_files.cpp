#include <algorithm>

#include "base/file.h"
#include "base/tolerance.h"
#include "editor/editor_state_detail.h"
#include "editor/new_element.h"

namespace bight::editor {
namespace {

constexpr double k_look_every_s = 1.0;

std::filesystem::path absolute_path(const std::filesystem::path& path) {
  std::error_code error;
  const auto absolute = std::filesystem::absolute(path, error);
  return error ? path : absolute.lexically_normal();
}

/// Empty where a plan has none of its own.
std::string first_option(const std::string& text) {
  const std::vector<std::string> names = options_of(plan::read_document(text, ""));
  return names.size() > 1 ? names[1] : "";
}

}  // namespace

/// The file on the disk as it is now counts as seen.
void Editor::State::note_disk() {
  std::error_code error;
  disk_time = std::filesystem::last_write_time(file, error);
  disk_size = std::filesystem::file_size(file, error);
  gone = false;
}

void Editor::State::look_at_disk() {
  if (file.empty()) return;
  std::error_code error;
  const auto time = std::filesystem::last_write_time(file, error);
  if (error) {
    if (!gone) ++revision;
    gone = true;
    return;
  }
  const auto size = std::filesystem::file_size(file, error);
  if (!gone && time == disk_time && size == disk_size) return;
  const FileText there = read_file(file, k_plan_bytes_limit);
  if (!there.text) return;  // half written, or no file to read any more: looked at again
  note_disk();
  ++revision;
  if (*there.text == text) disk_text = text;  // the same was written there
  there_text = *there.text == disk_text ? std::nullopt : there.text;
}

std::string Editor::State::keep_recovery() {
  if (text == disk_text) {
    recovery.forget();
    return {};
  }
  return recovery.keep({file.string(), disk_text, text});
}

void Editor::State::write_settings() {
  if (settings_written) return;
  settings_written = true;
  save_settings(options.folders.config, settings);
}

std::string Editor::State::write(const std::filesystem::path& path) {
  if (std::string problem = save_file(path, text); !problem.empty()) return problem;
  file = path;
  disk_text = text;
  there_text.reset();
  note_disk();
  recovery.forget();
  settings = with_recent(std::move(settings), file);
  settings_written = false;
  write_settings();
  ++revision;
  return {};
}

std::string Editor::start_new(const plan::StarterAnswers& answers) {
  plan::StarterPlan starter = plan::starter_plan(answers);
  if (!starter.problem.empty()) return starter.problem;
  State& s = *state_;
  s.file.clear();
  s.disk_text.clear();
  s.start_with(std::move(starter.text));
  s.keep_recovery();
  s.request_check();
  return {};
}

std::string Editor::open(const std::filesystem::path& file,
                         const std::optional<std::string>& option) {
  State& s = *state_;
  const auto path = absolute_path(file);
  FileText read = read_file(path, k_plan_bytes_limit);
  if (!read.text) return read.problem;
  s.file = path;
  s.disk_text = *read.text;
  s.note_disk();
  const std::string start = option ? *option : first_option(*read.text);
  s.start_with(std::move(*read.text), start);
  s.recovery.forget();
  s.settings = with_recent(std::move(s.settings), path);
  s.settings_written = false;
  s.write_settings();
  s.request_check();
  return s.option == start ? "" : "there is no option " + plan::toml_text(start);
}

std::string Editor::save() {
  State& s = *state_;
  if (s.drag) return "something is being dragged";
  if (s.file.empty()) return "this plan has no file yet: choose one";
  s.look_at_disk();
  if (s.there_text) {
    return "another program changed " + s.file.filename().string() +
           " on the disk: take its text, or keep yours";
  }
  return s.write(s.file);
}

std::string Editor::save_as(const std::filesystem::path& file) {
  State& s = *state_;
  if (s.drag) return "something is being dragged";
  const auto path = absolute_path(file);
  const bool elsewhere = path.parent_path() != s.file.parent_path();
  if (std::string problem = s.write(path); !problem.empty()) return problem;
  // Meshes are found from the plan's folder.
  if (elsewhere) {
    s.take_text(s.text, s.option);
    s.request_check();
  }
  return {};
}

std::string Editor::reload() {
  State& s = *state_;
  if (s.drag) cancel_drag();
  if (s.file.empty()) return "this plan has no file yet";
  FileText read = read_file(s.file, k_plan_bytes_limit);
  if (!read.text) return read.problem;
  s.note_disk();
  s.there_text.reset();
  s.disk_text = *read.text;
  s.commit("reload from disk", std::move(*read.text), s.option);
  return {};
}

void Editor::keep_mine() {
  State& s = *state_;
  if (!s.there_text) return;
  s.disk_text = std::move(*s.there_text);
  s.there_text.reset();
  s.keep_recovery();
  ++s.revision;
}

std::string Editor::drop(const std::filesystem::path& file) {
  State& s = *state_;
  if (s.drag) return "something is being dragged";
  if (file.extension() == ".toml") return open(file);
  if (!s.document.problem.empty() || s.text.empty()) return "open a plan first";
  const auto path = absolute_path(file);
  std::error_code error;
  if (!std::filesystem::is_regular_file(path, error)) return path.string() + " is no file";
  auto relative = s.file.empty() ? path : path.lexically_relative(s.file.parent_path());
  if (relative.empty()) relative = path;
  std::string name = path.stem().string();
  std::replace(name.begin(), name.end(), '.', ' ');
  name = free_name(s.document, "part", name.empty() ? "mesh" : name);
  const AddElement add{{"part",
                        "",
                        {{"name", plan::toml_text(name)},
                         {"shape", "\"mesh\""},
                         {"file", plan::toml_text(relative.string())}},
                        0}};
  // A file that is no mesh is refused here: the plan would not read any more.
  const plan::Patched patched = edited_text(s.text, s.option, add);
  if (!patched.problem.empty()) return patched.problem;
  const Reading reading = read_model(patched.text, s.file.string(), s.option, s.cache);
  if (!reading.model && !s.broken) {
    for (const Diagnostic& d : reading.diagnostics) {
      if (d.severity == Severity::error) return d.message;
    }
  }
  return apply_all({add}, "add " + name);
}

std::vector<LeftBehind> Editor::left_behind() const {
  return state_->recovery.left_behind();
}

std::string Editor::recover(const std::filesystem::path& recovery_file) {
  State& s = *state_;
  for (const LeftBehind& left : s.recovery.left_behind()) {
    if (left.file != recovery_file) continue;
    s.file = left.recovery.plan_file;
    s.disk_text = left.recovery.on_disk;
    s.disk_time = {};  // whatever stands there is looked at
    s.start_with(left.recovery.on_disk);
    s.commit("recover", left.recovery.text, {});
    if (!s.there_text) s.look_at_disk();
    s.recovery.discard(recovery_file);
    return {};
  }
  return "there is no such recovery file, or another window holds it";
}

void Editor::discard_left_behind(const std::filesystem::path& recovery_file) {
  state_->recovery.discard(recovery_file);
}

const std::filesystem::path& Editor::file() const {
  return state_->file;
}

FileState Editor::file_state() const {
  const State& s = *state_;
  if (s.file.empty()) return FileState::unnamed;
  if (s.gone) return FileState::gone;
  if (s.there_text) return unsaved() ? FileState::changed_both : FileState::changed_there;
  return unsaved() ? FileState::changed_here : FileState::same;
}

bool Editor::unsaved() const {
  return state_->text != state_->disk_text;
}
const Settings& Editor::settings() const {
  return state_->settings;
}

void Editor::set_settings(const Settings& settings) {
  State& s = *state_;
  const LengthUnit before = unit();
  // Written with the next look at the disk: a slider sets them every frame.
  s.settings = settings;
  s.settings_written = false;
  ++s.revision;
  if (unit() != before) s.speak_in_unit();
}

/// Sentences with lengths are made anew in the unit that is shown now.
void Editor::State::speak_in_unit() {
  live_check = LiveCheck(settings.unit);
  if (text.empty() || drag) return;
  ++generation;
  take_text(std::string(text), std::string(option));
  request_check();
}

LengthUnit Editor::unit() const {
  const State& s = *state_;
  return s.settings.unit.value_or(s.document.inches ? LengthUnit::inch : LengthUnit::mm);
}

bool Editor::poll(double now_s) {
  State& s = *state_;
  const std::uint64_t before = s.revision;
  if (now_s >= s.next_look_s) {
    s.next_look_s = now_s + k_look_every_s;
    s.look_at_disk();
    s.write_settings();
  }
  s.take_results();
  s.play_on(now_s);
  return s.revision != before;
}

}  // namespace bight::editor
