#pragma once
// Check: does the tool get everywhere it should, and how much of the travel is free of contact.

#include "study/study.h"

namespace bight::study {

struct ClearanceCheck;
struct Context;

struct ReachCheck {
  std::vector<Finding> findings;
  ReachFigures reach;
};

/// Work areas against the positions that the joints give the tip (exact), and shares of the travel
/// from the blocked region.
ReachCheck check_reach(const Context& context, const ClearanceCheck& clearance);

}  // namespace bight::study
