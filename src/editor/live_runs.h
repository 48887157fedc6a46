#pragma once
// Free runs while something is dragged: windows of length, straight distances, and the shapes of
// lines that stay in a vertical plane over the whole travel. Runs that did not change are taken
// from the last call.

#include <string>
#include <vector>

#include "study/free_run.h"
#include "study/study.h"

namespace bight::editor {

struct LiveRuns {
  std::vector<study::FreeRunFigures> runs;
  std::vector<study::Finding> findings;      ///< "length window", "line bend", "line droop"...
  std::vector<std::string> left_out;         ///< left to the full check: "rafter hook to mast top"
  std::vector<std::string> unknown_lengths;  ///< runs with a leg of length 0: not known yet
  std::size_t computed = 0;
};

class LiveRunCheck {
 public:
  /// Where a support that moves by itself rests is solved together with its lines, which takes a
  /// full check: `last`, when there is one, says how such a run was before.
  LiveRuns check(const study::Context& context, const study::StudyResult* last);

 private:
  struct Known {
    std::vector<std::string> key;  ///< everything that the answer depends on
    study::FreeRunFigures figures;
    std::vector<study::Finding> findings;
    bool left_out = false;
  };
  static Known compute(const study::Context& context, const study::FreeRun& run);

  std::vector<Known> known_;
};

}  // namespace bight::editor
