#pragma once
// Check: each free run's window of length, pull, droop and what the line comes near to.

#include <vector>

#include "study/mover.h"
#include "study/study.h"

namespace bight::study {

struct FreeRunCheck {
  std::vector<Finding> findings;
  std::vector<FreeRunFigures> runs;
  std::vector<SupportFigures> supports;
};

FreeRunCheck check_free_runs(const Context& context, const std::vector<Mover>& movers);

}  // namespace bight::study
