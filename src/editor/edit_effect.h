#pragma once
// What an edit means beyond its text: whether it can be refused at the door, and what is selected
// after it.

#include <string>

#include "editor/edit.h"
#include "plan/document.h"

namespace bight::editor {

/// Why a value or name may not be given: a sentence; empty when it may.
std::string problem_of_edit(const plan::Document& document, const Edit& edit);

/// Path of what is selected after an edit that took `before` to `after`: it follows a name, and
/// goes to what was added.
std::string selection_after(const plan::Document& before, const plan::Document& after,
                            const Edit& edit, const std::string& selected);

}  // namespace bight::editor
