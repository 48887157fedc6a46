#pragma once
// Check: every line's legs, bends where it is clipped, voltage drop; and how long to cut it.

#include <vector>

#include "line/cut_length.h"
#include "study/study.h"

namespace bight::study {

struct Context;

struct LineCheck {
  std::vector<Finding> findings;
  std::vector<LineFigures> lines;
  std::vector<line::Drum> drums;  ///< what to buy of each article
};

/// `chains` and `free_runs` are the figures of their checks: a leg there is as long as they say.
LineCheck check_lines(const Context& context, const std::vector<ChainFigures>& chains,
                      const std::vector<FreeRunFigures>& free_runs);

}  // namespace bight::study
