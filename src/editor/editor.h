#pragma once
// An open plan and everything that a person does with it: edits with undo, options, dragging with
// live verdicts, full checks in the background, poses and the tour, findings and their remedies,
// files, recovery and settings. The window draws what this says and calls what this offers; it
// keeps no state of the plan of its own.
//
// One thread owns an Editor. Nothing here waits for a computation: the window calls poll() once a
// frame and looks at revision() to see whether anything changed.
//
// Functions that can be refused return a sentence that says why, empty when they did what was
// asked.

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "editor/advice.h"
#include "editor/edit.h"
#include "editor/finding_list.h"
#include "editor/handle.h"
#include "editor/live.h"
#include "editor/model.h"
#include "editor/recovery.h"
#include "editor/series.h"
#include "editor/settings.h"
#include "editor/tour.h"
#include "editor/worker.h"
#include "plan/document.h"
#include "plan/write.h"

namespace bight::editor {

/// How far a result may be trusted.
enum class Freshness {
  none,         ///< there is no result yet
  out_of_date,  ///< of an earlier text; a newer check runs or waits
  current,      ///< of the text as it is
};

/// The full check of one option.
struct OptionResult {
  Freshness freshness = Freshness::none;
  CheckedOption checked;  ///< study is null when there is none
};

/// How the file on the disk stands to the text here.
enum class FileState {
  unnamed,        ///< never saved
  same,           ///< saved, and the file is as it was saved
  changed_here,   ///< edits are not saved yet
  changed_there,  ///< another program wrote the file: reload it
  changed_both,   ///< both: choose reload() or keep_mine()
  gone,           ///< the file is not there any more: save it again
};

struct EditorOptions {
  Folders folders;         ///< where settings and recovery live; empty: kept nowhere
  unsigned threads = 0;    ///< of the checks
  bool background = true;  ///< false: no full checks (tests of edits alone)
  /// open() leaves what a first picture does without, the live check and the checks of other
  /// options, to finish_opening().
  bool brief_opening = false;
  std::function<void()> wake;  ///< called from a thread when a result came
};

/// A joint as a slider needs it.
struct JointValue {
  std::string name;
  double value = 0.0;
  double low = 0.0;
  double high = 0.0;
};

class Editor {
 public:
  explicit Editor(EditorOptions options = {});
  ~Editor();
  Editor(const Editor&) = delete;
  Editor& operator=(const Editor&) = delete;

  // --- files ---------------------------------------------------------------------------------
  /// A new plan from a few answers, not saved yet.
  std::string start_new(const plan::StarterAnswers& answers);
  /// `option`: by name, empty as written; without one the first that the plan has, if any. A
  /// sentence when the file cannot be read, or has no such option: then it is open as written.
  std::string open(const std::filesystem::path& file,
                   const std::optional<std::string>& option = std::string());
  /// Refused while the file changed on the disk as well (`changed_both`, `changed_there`): then
  /// keep_mine() first, or reload().
  std::string save();
  std::string save_as(const std::filesystem::path& file);
  /// Takes the text of the disk; can be undone like an edit.
  std::string reload();
  /// What stands on the disk is known and may be overwritten.
  void keep_mine();
  /// A file dropped on the window: a plan opens, a mesh becomes a new part.
  std::string drop(const std::filesystem::path& file);
  std::vector<LeftBehind> left_behind() const;
  /// Goes on with what another editor left behind.
  std::string recover(const std::filesystem::path& recovery_file);
  void discard_left_behind(const std::filesystem::path& recovery_file);

  const std::filesystem::path& file() const;  ///< absolute; empty: never saved
  FileState file_state() const;
  bool unsaved() const;  ///< the text differs from what was last saved or read
  const Settings& settings() const;
  void set_settings(const Settings& settings);
  /// Unit in which lengths are shown: the setting, else that of the plan.
  LengthUnit unit() const;

  // --- the plan ------------------------------------------------------------------------------
  const std::string& text() const;
  const plan::Document& document() const;
  /// The last text without errors: the same as the text unless broken() or the text is a preview
  /// that has errors. Null until a plan was read.
  const std::shared_ptr<const Model>& model() const;
  const std::vector<Diagnostic>& diagnostics() const;  ///< of the text as it is
  bool broken() const;                                 ///< the text has errors

  // --- edits, undo, options ------------------------------------------------------------------
  std::string apply(const Edit& edit);
  /// Several edits as one step.
  std::string apply_all(const std::vector<Edit>& edits, const std::string& name);
  /// The whole text, as from a text field; may be broken.
  std::string set_text(std::string text, const std::string& name = "edit text");
  std::string undo();
  std::string redo();
  std::string undo_name() const;  ///< empty: nothing to undo
  std::string redo_name() const;

  const std::string& option() const;         ///< empty: the plan as written
  std::vector<std::string> options() const;  ///< empty name first
  std::string choose_option(const std::string& name);
  /// A new option with the overrides of the chosen one; chosen then.
  std::string add_option(const std::string& name, const std::string& about = {});

  // --- direct manipulation -------------------------------------------------------------------
  /// Handles where they are at the pose (Handle::at is moved to it).
  std::vector<Handle> handles() const;
  std::string begin_drag(const std::string& handle_id);
  /// `to`: in the frame of the plan at the pose; `along`: only along this direction. The text, the
  /// model and live() follow at once; the step is not yet in the undo list. Returns where it went.
  SnappedPlace drag_to(const Vec3& to, const std::optional<Vec3>& along = {},
                       const SnapOptions& snap = {});
  std::string end_drag();  ///< one step for undo
  void cancel_drag();
  bool dragging() const;

  // --- results -------------------------------------------------------------------------------
  /// Once a frame: takes results of the background, looks at the file on the disk now and then.
  /// True when anything changed.
  bool poll(double now_s);
  std::uint64_t revision() const;       ///< grows with every change of anything seen from here
  std::uint64_t text_revision() const;  ///< with every change of the text or the option
  const std::shared_ptr<const LiveResult>& live() const;  ///< of model(); null before the first
  OptionResult result() const;                            ///< of the chosen option
  OptionResult result(const std::string& option) const;
  /// All options that have a result, ranked; each may be out of date.
  study::Comparison comparison() const;
  Freshness comparison_freshness() const;
  WorkerState background() const;
  void cancel_background();
  void check_again();
  void finish_opening();  ///< does what EditorOptions::brief_opening has left

  /// Findings to list: those of the full check while it is current, else the live ones and, of
  /// checks that live() does not do, the last known.
  const std::vector<study::Finding>& findings() const;
  Freshness findings_freshness() const;

  /// Starts looking for remedies of a finding in the background; remedies() has them when ready.
  std::string look_for_remedies(const std::string& finding_id);
  bool looking_for_remedies() const;
  const Remedies& remedies() const;  ///< of the last finding asked for
  std::string apply_remedy(std::size_t index);

  // --- selection and what is shown -----------------------------------------------------------
  void select(const std::string& element_path);  ///< "part.bed"; empty: nothing
  const std::string& selected() const;
  /// By the name of a part, chain, support..., as findings and pictures know things.
  void select_thing(const std::string& name);
  std::string selected_thing() const;
  void select_finding(const std::string& finding_id);  ///< takes its pose, highlights its things
  const std::string& selected_finding() const;
  std::vector<std::string> highlighted() const;  ///< things of the selection
  void set_hidden(const std::string& thing, bool hidden);
  const std::set<std::string>& hidden() const;

  // --- pose and tour -------------------------------------------------------------------------
  const std::vector<double>& pose() const;
  std::vector<JointValue> joints() const;
  void set_joint(std::size_t joint, double value);
  void set_pose(const std::vector<double>& pose);
  void go_home();
  void go_corner(std::size_t corner);  ///< bit j: joint j at its high end
  const Tour& tour() const;
  bool playing() const;
  void play(bool on);
  double tour_time() const;
  /// The shown pose is that of the tour at its time: not after a jog, a jump or a chosen finding.
  bool on_tour() const;
  void scrub(double time_s);
  /// Curves along the tour; empty until computed in the background.
  const TourSeries& series() const;
  Freshness series_freshness() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace bight::editor
