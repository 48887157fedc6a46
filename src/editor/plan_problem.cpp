#include "editor/plan_problem.h"

namespace bight::editor {

std::string problem_sentence(const Diagnostic& problem) {
  std::string text =
      problem.place.line > 0 ? "Line " + std::to_string(problem.place.line) + ": " : "";
  text += problem.message;
  if (!problem.found.empty()) text += "; found " + problem.found;
  if (!problem.allowed.empty()) text += "; allowed: " + problem.allowed;
  return text;
}

const plan::Element* element_of(const Diagnostic& problem, const plan::Document& document) {
  const plan::Element* found = nullptr;
  if (problem.place.line <= 0) return found;
  for (const plan::Element& element : document.elements) {
    if (!element.in_file || element.line > problem.place.line) continue;
    if (found == nullptr || element.line >= found->line) found = &element;
  }
  return found;
}

}  // namespace bight::editor
