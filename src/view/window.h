#pragma once
// The window with its OpenGL context: 4.5, else 3.3.

#include <string>

#include "view/event_queue.h"

struct GLFWwindow;

namespace bight::view {

/// Size in pixels, content scale (1 on most screens, 2 on screens with small pixels).
struct WindowMeasures {
  int width = 0;
  int height = 0;
  float scale = 1.0F;
};

/// What to open.
struct WindowWish {
  int width = 1280;  ///< at scale 1
  int height = 800;
  bool debug_context = false;  ///< the driver reports every error
};

class Window {
 public:
  /// Opens the window, hidden until `show`; `problem` tells why when it could not.
  explicit Window(const WindowWish& wish);
  ~Window();
  Window(const Window&) = delete;
  Window& operator=(const Window&) = delete;

  bool is_open() const { return handle_ != nullptr; }
  bool no_display() const { return no_display_; }
  const std::string& problem() const { return problem_; }

  GLFWwindow* handle() const { return handle_; }
  WindowEvents& events() { return events_; }
  WindowMeasures measures() const;
  void show();
  void set_title(const std::string& title);
  void swap();

  /// Sleeps until an event, a wake or the end of `seconds` (below 0: no end).
  void wait(double seconds);
  /// Takes the events that are there.
  void poll();
  /// Ends a wait; from any thread.
  static void wake();
  /// Seconds since the window system was opened.
  static double now();

 private:
  GLFWwindow* handle_ = nullptr;
  WindowEvents events_;
  std::string problem_;
  std::string title_;
  bool initialised_ = false;
  bool no_display_ = false;
};

}  // namespace bight::view
