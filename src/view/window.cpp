#include "view/window.h"

#include "view/view.h"

#include <GLFW/glfw3.h>

#include <algorithm>
#include <cstdlib>

namespace bight::view {

bool display_is_named() {
  const auto given = [](const char* name) {
    const char* value = std::getenv(name);
    return value != nullptr && *value != '\0';
  };
  return given("DISPLAY") || given("WAYLAND_DISPLAY");
}

namespace {

GLFWwindow* create(const WindowWish& wish, int major, int minor) {
  glfwDefaultWindowHints();
  glfwWindowHint(GLFW_CONTEXT_VERSION_MAJOR, major);
  glfwWindowHint(GLFW_CONTEXT_VERSION_MINOR, minor);
  glfwWindowHint(GLFW_OPENGL_PROFILE, GLFW_OPENGL_CORE_PROFILE);
  glfwWindowHint(GLFW_OPENGL_FORWARD_COMPAT, GLFW_TRUE);
  glfwWindowHint(GLFW_OPENGL_DEBUG_CONTEXT, wish.debug_context ? GLFW_TRUE : GLFW_FALSE);
  glfwWindowHint(GLFW_SCALE_TO_MONITOR, GLFW_TRUE);
  glfwWindowHint(GLFW_VISIBLE, GLFW_FALSE);
  glfwWindowHint(GLFW_FOCUS_ON_SHOW, GLFW_TRUE);
  glfwWindowHintString(GLFW_X11_CLASS_NAME, "bight");
  glfwWindowHintString(GLFW_X11_INSTANCE_NAME, "bight");
  return glfwCreateWindow(wish.width, wish.height, "bight", nullptr, nullptr);
}

}  // namespace

Window::Window(const WindowWish& wish) {
  if (!display_is_named()) {
    no_display_ = true;
    problem_ = "There is no display: neither DISPLAY nor WAYLAND_DISPLAY is set.";
    return;
  }
  glfwInitHint(GLFW_JOYSTICK_HAT_BUTTONS, GLFW_FALSE);
  if (glfwInit() != GLFW_TRUE) {
    no_display_ = true;
    problem_ = "The display could not be opened.";
    return;
  }
  initialised_ = true;
  handle_ = create(wish, 4, 5);
  if (handle_ == nullptr) handle_ = create(wish, 3, 3);
  if (handle_ == nullptr) {
    problem_ =
        "The graphics driver offers no OpenGL 3.3, which the window needs. On Debian, install "
        "libgl1-mesa-dri, which draws without a graphics card.";
    return;
  }
  events_.install(handle_);
  glfwSetWindowSizeLimits(handle_, 480, 320, GLFW_DONT_CARE, GLFW_DONT_CARE);
  glfwMakeContextCurrent(handle_);
  glfwSwapInterval(1);
}

Window::~Window() {
  if (handle_ != nullptr) glfwDestroyWindow(handle_);
  if (initialised_) glfwTerminate();
}

WindowMeasures Window::measures() const {
  WindowMeasures m;
  glfwGetFramebufferSize(handle_, &m.width, &m.height);
  float y_scale = 1.0F;
  glfwGetWindowContentScale(handle_, &m.scale, &y_scale);
  m.scale = std::clamp(m.scale, 0.5F, 6.0F);
  return m;
}

void Window::show() {
  glfwShowWindow(handle_);
}

void Window::set_title(const std::string& title) {
  if (title == title_) return;
  title_ = title;
  glfwSetWindowTitle(handle_, title.c_str());
}

void Window::swap() {
  glfwSwapBuffers(handle_);
}

void Window::wait(double seconds) {
  if (seconds < 0.0) {
    glfwWaitEvents();
  } else {
    glfwWaitEventsTimeout(seconds);
  }
}

void Window::poll() {
  glfwPollEvents();
}

double Window::now() {
  return glfwGetTime();
}

void Window::wake() {
  glfwPostEmptyEvent();
}

}  // namespace bight::view
