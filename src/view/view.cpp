#include "view/view.h"

#include <future>

#include "shape/isolated.h"
#include "view/app.h"
#include "view/opened_plan.h"

namespace bight::view {

ViewResult run_window(const ViewOptions& options) {
  // Half of the time to the first picture is the graphics driver's start: the plan is read, and its
  // check begins, meanwhile.
  std::future<OpenedPlan> opening;
  if (display_is_named()) {
    opening = std::async(std::launch::async, [&options] { return open_plan_of(options); });
    if (!shape::isolation_stands_threads()) opening.wait();  // it forks to read meshes
  }
  Window window({options.width, options.height, options.debug_context});
  if (!window.is_open()) {
    return {window.no_display() ? ViewEnd::no_display : ViewEnd::failed, window.problem()};
  }
  App app(window, opening.get(), options.debug_context);
  app.run();
  return {};
}

}  // namespace bight::view
