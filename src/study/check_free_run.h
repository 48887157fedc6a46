#pragma once
// Check: each free run's window of length, pull, droop and what the line comes near to.

#include <cstddef>
#include <string>
#include <vector>

#include "study/mover.h"
#include "study/raised_chain.h"
#include "study/study.h"

namespace bight::study {

struct FreeRunCheck {
  std::vector<Finding> findings;
  std::vector<FreeRunFigures> runs;
  std::vector<SupportFigures> supports;
};

/// Steps of Progress that check_free_runs() makes. Its caller adds them to the total before what
/// comes before it, which would look like all of the work otherwise.
std::size_t free_run_steps(const Context& context, const std::vector<std::string>& only = {});

/// `only`: names of the runs to look at, all when empty; runs that share a support belong together.
FreeRunCheck check_free_runs(const Context& context, const std::vector<Mover>& movers,
                             const std::vector<RaisedChain>& raised,
                             const std::vector<std::string>& only = {});

}  // namespace bight::study
