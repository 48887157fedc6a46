#pragma once
// The editor with the plan that a window starts with, made before there is a window.

#include <atomic>
#include <memory>
#include <string>

#include "editor/editor.h"
#include "view/view.h"

namespace bight::view {

struct OpenedPlan {
  std::unique_ptr<editor::Editor> editor;
  std::string problem;  ///< a sentence when the plan or its option could not be opened
  /// Set once there is a window that the editor's worker may wake.
  std::shared_ptr<std::atomic<bool>> awake;
};

/// Opens what the options name; without a plan the editor is empty.
OpenedPlan open_plan_of(const ViewOptions& options);

}  // namespace bight::view
