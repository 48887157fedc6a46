#include "view/opened_plan.h"

#include "view/window.h"

namespace bight::view {

OpenedPlan open_plan_of(const ViewOptions& options) {
  OpenedPlan opened;
  opened.awake = std::make_shared<std::atomic<bool>>(false);
  editor::EditorOptions o;
  o.folders = editor::user_folders();
  o.threads = options.threads;
  o.wake = [awake = opened.awake] {
    if (*awake) Window::wake();
  };
  opened.editor = std::make_unique<editor::Editor>(std::move(o));
  editor::Editor& editor = *opened.editor;
  if (options.plan.empty()) return opened;
  opened.problem = editor.open(options.plan);
  if (!options.option.empty()) {
    const std::string refused = editor.choose_option(options.option);
    if (opened.problem.empty()) opened.problem = refused;
  } else if (const auto names = editor.options(); names.size() > 1) {
    editor.choose_option(names[1]);
  }
  return opened;
}

}  // namespace bight::view
