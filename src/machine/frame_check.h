#pragma once
// Do the dimensions of a parametric frame fit together, and do the plan's joints suit it?

#include "base/diagnostic.h"
#include "machine/parametric.h"

namespace bight::machine {

/// Adds an error with numbers for each contradiction: parts of different bodies that overlap with
/// the joints at zero (or as near to it as their travel allows), plates longer than the beam they
/// run on, a head off its carriage, a bed that reaches through the floor, joints that are missing,
/// do not run along their letter or move the wrong side. Things that the plan replaces are left
/// out.
void check_frame(const plan::Plan& plan, const FrameParts& made, Diagnostics& diagnostics);

}  // namespace bight::machine
