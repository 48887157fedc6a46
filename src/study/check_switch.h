#pragma once
// Check: do the limit switches trip where they should and nowhere else, with room left to stop.

#include "study/study.h"

namespace bight::study {

struct Context;

struct SwitchCheck {
  std::vector<Finding> findings;
  std::vector<SwitchFigures> switches;
};

SwitchCheck check_switches(const Context& context);

}  // namespace bight::study
