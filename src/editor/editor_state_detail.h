#pragma once
// The state of an Editor, shared by its source files. Inside the editor module only.

#include <map>
#include <optional>

#include "editor/editor.h"
#include "editor/history.h"
#include "editor/latest_task.h"

namespace bight::editor {

/// Names of the options, as written (an empty name) first.
std::vector<std::string> options_of(const plan::Document& document);

struct Editor::State {
  explicit State(EditorOptions o);

  EditorOptions options;
  Settings settings;
  bool settings_written = true;
  Recovery recovery;

  // The file.
  std::filesystem::path file;
  std::string disk_text;                  ///< when it was last read, saved or found good
  std::optional<std::string> there_text;  ///< what another program wrote, not dealt with yet
  bool gone = false;
  std::filesystem::file_time_type disk_time{};
  std::uintmax_t disk_size = 0;
  double next_look_s = 0.0;

  // The text and what was read from it.
  std::string text;
  std::string option;
  std::uint64_t revision = 1;
  std::uint64_t text_revision = 1;
  std::uint64_t generation = 1;        ///< of the text alone: the same for all its options
  std::uint64_t first_generation = 1;  ///< of this plan: older results are another plan's
  plan::Document document;
  std::vector<Diagnostic> diagnostics;
  bool broken = false;
  std::shared_ptr<const Model> model;
  machine::MeshCache cache;
  History history;

  struct Drag {
    std::string handle;
    std::string text;                    ///< when it began
    std::shared_ptr<const Model> model;  ///< then
  };
  std::optional<Drag> drag;

  // Results.
  LiveCheck live_check;
  std::shared_ptr<const LiveResult> live;
  std::unique_ptr<Worker> worker;
  std::map<std::string, CheckedOption> checked;
  std::vector<study::Finding> background_only;  ///< of the last full check: not in live findings
  std::string background_option;                ///< whose they are
  std::vector<study::Finding> findings;
  LatestTask<Remedies> remedy_task;
  Remedies remedies;
  std::uint64_t remedies_revision = 0;  ///< text_revision that they were looked for in
  WorkerState last_worker_state;
  bool brief = false;       ///< finish_opening() is still to come
  bool others_due = false;  ///< options that wait until the chosen one is checked

  // Selection.
  std::string selected;
  std::string selected_finding;
  std::set<std::string> hidden;

  // Pose.
  std::vector<double> pose;
  Tour tour;
  bool playing = false;
  double tour_time = 0.0;
  std::optional<double> last_poll_s;
  LatestTask<TourSeries> series_task;
  TourSeries series;
  std::uint64_t series_revision = 0;  ///< text_revision that they belong to
  std::uint64_t series_asked = 0;     ///< text_revision that they were last asked for

  // editor.cpp
  /// A new text (or option) as it is: reads it, follows with everything that hangs on it.
  void take_text(std::string new_text, const std::string& new_option);
  void look_live();
  /// The same as a step for undo; asks for a full check.
  void commit(const std::string& name, std::string new_text, const std::string& new_option);
  /// A text that has no history here: opened, new, recovered.
  void start_with(std::string new_text, const std::string& new_option = {});
  std::vector<std::string> option_names() const;

  // editor_files.cpp
  void speak_in_unit();
  std::string keep_recovery();
  void look_at_disk();
  void note_disk();
  void write_settings();
  std::string write(const std::filesystem::path& path);

  // editor_results.cpp
  void request_check();
  void update_findings();
  void remember_background_only();
  bool take_results();
  bool is_current(const CheckedOption& c) const { return c.generation == generation; }
  const CheckedOption* checked_option(const std::string& name) const;

  // editor_pose.cpp
  void renew_tour();
  std::vector<double> tour_pose() const;  ///< at its time
  bool play_on(double now_s);
};

}  // namespace bight::editor
