#include "view/opened_plan.h"

#include "view/window.h"

namespace bight::view {

OpenedPlan open_plan_of(const ViewOptions& options) {
  OpenedPlan opened;
  opened.awake = std::make_shared<std::atomic<bool>>(false);
  editor::EditorOptions o;
  o.folders = editor::user_folders();
  o.threads = options.threads;
  o.brief_opening = true;
  o.wake = [awake = opened.awake] {
    if (*awake) Window::wake();
  };
  opened.editor = std::make_unique<editor::Editor>(std::move(o));
  editor::Editor& editor = *opened.editor;
  if (options.plan.empty()) return opened;
  opened.problem = options.option.empty() ? editor.open(options.plan, std::nullopt)
                                          : editor.open(options.plan, options.option);
  return opened;
}

}  // namespace bight::view
