#pragma once
// The text that is being edited, kept in a file beside the program's state after every edit, so
// that a kill loses at most the edit in flight. The plan file itself is only ever replaced whole.
//
// Each editor has a file of its own, and holds a lock on it that ends with the process however that
// ends: a file without a holder was left behind.

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

namespace bight::editor {

/// What is kept of an editor.
struct RecoveryText {
  std::string plan_file;  ///< absolute path; empty: never saved
  std::string on_disk;    ///< text of the plan file when it was last read or saved
  std::string text;       ///< with the edits
};

/// A file that was left behind by an editor that did not end well.
struct LeftBehind {
  std::filesystem::path file;
  RecoveryText recovery;
  double age_s = 0.0;
};

class Recovery {
 public:
  /// `folder` is made when it is not there; an empty path keeps nothing.
  explicit Recovery(std::filesystem::path folder);
  ~Recovery();
  Recovery(Recovery&&) noexcept;
  Recovery& operator=(Recovery&&) noexcept;

  /// Writes a new file and renames it over the last, without waiting for the disk: it survives the
  /// end of the program, not a loss of power in the second after. A sentence when it failed.
  std::string keep(const RecoveryText& recovery);

  /// Nothing unsaved is left: the file goes.
  void forget();

  /// What others left behind; files that are damaged or held by a running editor are left out.
  std::vector<LeftBehind> left_behind() const;

  /// Takes a file over or away: it is deleted.
  void discard(const std::filesystem::path& file);

 private:
  struct Held;
  std::unique_ptr<Held> held_;
};

}  // namespace bight::editor
