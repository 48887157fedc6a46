#include "view/view.h"

#include "view/app.h"

namespace bight::view {

ViewResult run_window(const ViewOptions& options) {
  Window window({options.width, options.height, options.debug_context});
  if (!window.is_open()) {
    return {window.no_display() ? ViewEnd::no_display : ViewEnd::failed, window.problem()};
  }
  App app(window, options);
  app.run();
  return {};
}

}  // namespace bight::view
