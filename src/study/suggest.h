#pragma once
// Changes to a plan that turn what stops and what asks to act into clear. Each suggestion is a new
// option of the plan file; what was checked is the text of the file with that option in it, read
// again from the start, so it is exactly what would be written. For `bight suggest` and the window.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "plan/plan.h"
#include "study/study.h"

namespace bight::study {

/// One value of the plan file that the new option replaces.
struct PlanChange {
  std::string path;      ///< as in plan/option.h
  std::string value;     ///< TOML text, in the file's unit
  std::string what;      ///< for a person: "move hook from ... to ..."; empty: follows from another
  bool is_step = false;  ///< `what` tells a step from where it was: "move bench by 20 mm"
};

enum class SuggestStatus {
  clear_already,  ///< nothing to change
  clear,          ///< the new option is clear
  better,         ///< less stops or asks to act than before, but not clear
  nothing,        ///< no change that was tried made it better
  unusable,       ///< the plan has errors, or no such option: see `problem`
  cancelled,
};

/// What was tried on one finding, in vain or not.
struct SuggestTrial {
  std::string check;
  std::string finding;  ///< its sentence
  bool solved = false;
  std::vector<std::string> tried;  ///< "3 x another length"
};

struct Suggestion {
  SuggestStatus status = SuggestStatus::nothing;
  std::string problem;
  std::string base;  ///< option that it starts from; "base": the plan as written
  std::string name;  ///< of the new option; of one that is clear or better
  std::string about;
  std::vector<PlanChange> changes;
  std::string text;  ///< the plan file with the new option; empty unless clear or better
  /// Without advice and reach (StudyOptions::findings_only).
  StudyResult before;
  StudyResult after;  ///< of the new option; the same as before when there is none
  std::vector<SuggestTrial> trials;
  std::size_t tried = 0;   ///< changes that were looked at
  std::size_t checks = 0;  ///< full checks that were run
};

struct SuggestOptions {
  int rounds = 8;          ///< changes that are combined at most
  std::size_t tries = 48;  ///< changes of one kind looked at for one finding at most
  StudyOptions study;      ///< its progress counts checks and can cancel
};

/// `text` is the plan file, `file` its path, `option` the name of the option to start from ("base":
/// the plan as written). Takes the worst finding first and the smallest change first; a change is
/// kept when the full check then has fewer stops, or as many and fewer findings to act on.
/// Deterministic.
Suggestion suggest(std::string_view text, const std::string& file, const std::string& option,
                   const SuggestOptions& options = {});

}  // namespace bight::study
