#pragma once
// Check: each drag chain's length, room, bend, unsupported run and fill.

#include <vector>

#include "study/study.h"

namespace bight::study {

struct Context;

struct ChainCheck {
  std::vector<Finding> findings;
  std::vector<ChainFigures> chains;
};

ChainCheck check_chains(const Context& context);

}  // namespace bight::study
