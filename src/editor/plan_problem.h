#pragma once
// What is wrong with a plan, in a sentence, and the element that it stands in.

#include <string>

#include "base/diagnostic.h"
#include "plan/document.h"

namespace bight::editor {

/// "Line 5: message; found X; allowed: Y", where the file is known.
std::string problem_sentence(const Diagnostic& problem);

/// The element that the problem's line is in: the last one of the file that begins at or before it.
/// Nullptr when the line is not known, or the text has no elements.
const plan::Element* element_of(const Diagnostic& problem, const plan::Document& document);

}  // namespace bight::editor
