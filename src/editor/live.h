#pragma once
// The verdicts that follow a drag within the frame: every rigid clearance, the windows and straight
// distances of free runs, all lengths, and the shape of planar lines over the whole travel. What
// did not change since the last call is taken from it. Chains under their own weight, lines in
// space, contact and advice are left to the full check in the background.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "editor/model.h"
#include "study/study.h"

namespace bight::editor {

/// What is known at once. Findings are of the same form as those of the full check (same ids), but
/// without advice; a check that was not looked at here has none.
struct LiveResult {
  std::vector<study::Finding> findings;          ///< worst first
  std::vector<study::ClearancePair> clearance;   ///< nearest first, proved
  std::vector<study::FreeRunFigures> free_runs;  ///< window, straight distances; shape if planar
  std::vector<study::ChainFigures> chains;       ///< loop and fill
  std::vector<study::LineFigures> lines;         ///< lengths
  std::vector<line::Drum> drums;
  study::Verdict verdict = study::Verdict::clear;  ///< of these findings alone
  std::size_t pairs_computed = 0;     ///< of clearance.size() and more: the others were known
  std::size_t runs_computed = 0;      ///< free runs whose shapes were solved anew
  std::vector<std::string> left_out;  ///< free runs whose shape waits for the full check
  std::vector<std::string> unknown_lengths;  ///< lines left out of `lines`: not known before it
  double seconds = 0.0;
};

/// Keeps what the last call computed. Not thread-safe: one an editor.
class LiveCheck {
 public:
  /// `unit` of the lengths in sentences; absent: that of the plan.
  explicit LiveCheck(std::optional<LengthUnit> unit = {});
  LiveCheck(LiveCheck&&) noexcept;
  LiveCheck& operator=(LiveCheck&&) noexcept;
  ~LiveCheck();

  /// `threads` 0: as many as the machine has; the result does not depend on it, nor on what was
  /// kept. `last`, of the same option, is what the last full check said: a run on a support that
  /// moves by itself keeps its length and figures until the next.
  LiveResult check(const Model& model, unsigned threads = 0,
                   const study::StudyResult* last = nullptr);

 private:
  struct Kept;
  std::unique_ptr<Kept> kept_;
};

}  // namespace bight::editor
