#pragma once
// From names of elements to names of what is drawn for them, for highlighting in the picture.

#include <string>
#include <vector>

#include "plan/plan.h"

namespace bight::editor {

/// The names, and for a run or an article its lines, for a body its parts and switches. Each once,
/// in the order of the names.
std::vector<std::string> drawn_things(const plan::Plan& plan,
                                      const std::vector<std::string>& names);

}  // namespace bight::editor
