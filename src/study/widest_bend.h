#pragma once
// Of the lines that share a run, the one that asks for the widest bend: for what bends all of them
// alike.

#include "line/bend_limit.h"
#include "study/context.h"

namespace bight::study {

struct WidestBend {
  const plan::Line* line = nullptr;
  line::BendLimit limit;
};

/// BIGHT_CHECKs that a line that is there takes the run.
WidestBend widest_bend(const Context& context, const plan::Run& run, line::BendUse use);

}  // namespace bight::study
