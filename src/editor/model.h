#pragma once
// A text of the plan and everything that is read from it: plan, machine, document. Values that
// belong together, shared without copies between the window, the background and the pictures.

#include <memory>
#include <string>
#include <vector>

#include "base/diagnostic.h"
#include "machine/machine.h"
#include "plan/document.h"
#include "plan/plan.h"

namespace bight::editor {

/// A plan without errors and its machine.
struct Model {
  std::string option;  ///< chosen; empty: the plan as written
  plan::Plan plan;
  machine::Machine machine;
};

/// What a text turned out to be. `model` is absent exactly when `diagnostics` has errors.
struct Reading {
  std::shared_ptr<const Model> model;
  std::vector<Diagnostic> diagnostics;
};

/// Reads the text and builds the machine; an option that the text has no longer is an error.
Reading read_model(const std::string& text, const std::string& file, const std::string& option,
                   machine::MeshCache& cache);

}  // namespace bight::editor
