#include "view/event_queue.h"

#include <GLFW/glfw3.h>
#include <imgui.h>

#include <algorithm>

namespace bight::view {

struct TakenKinds {
  bool anything = false;
  bool wheel = false;
  bool character = false;
  bool press = false;
  bool release = false;
  std::vector<int> keys;
  bool full = false;
};

bool EventQueue::take(const InputEvent& event, TakenKinds& taken) {
  using Kind = InputEvent::Kind;
  switch (event.kind) {
    case Kind::move:
      if (taken.wheel || taken.character || taken.press || taken.release) return false;
      state_.x = event.x;
      state_.y = event.y;
      break;
    case Kind::button:
      if (taken.anything) return false;
      if (event.code >= 0 && event.code < FrameInput::k_buttons) {
        state_.buttons[event.code] = event.down;
      }
      taken.full = true;
      break;
    case Kind::focus:
      if (taken.anything) return false;
      state_.focused = event.down;
      state_.focus_changed = true;
      if (!event.down) {
        std::fill(std::begin(state_.buttons), std::end(state_.buttons), false);
        std::fill(std::begin(state_.keys), std::end(state_.keys), false);
      }
      taken.full = true;
      break;
    case Kind::close:
      if (taken.anything) return false;
      state_.close_asked = true;
      taken.full = true;
      break;
    case Kind::wheel:
      state_.wheel_x += event.x;
      state_.wheel_y += event.y;
      taken.wheel = true;
      break;
    case Kind::character:
      state_.characters.push_back(static_cast<unsigned>(event.code));
      taken.character = true;
      break;
    case Kind::key: {
      if (event.code < 0 || event.code >= FrameInput::k_keys) break;
      const bool again = std::ranges::find(taken.keys, event.code) != taken.keys.end();
      if (again || (event.down ? taken.release || taken.character : taken.press)) return false;
      state_.keys[event.code] = event.down;
      taken.keys.push_back(event.code);
      (event.down ? taken.press : taken.release) = true;
      break;
    }
  }
  taken.anything = true;
  return true;
}

const FrameInput& EventQueue::next_frame() {
  state_.wheel_x = state_.wheel_y = 0.0;
  state_.characters.clear();
  state_.focus_changed = false;
  state_.close_asked = false;
  TakenKinds taken;
  while (!waiting_.empty() && !taken.full && take(waiting_.front(), taken)) waiting_.pop_front();
  return state_;
}

namespace {

WindowEvents& events_of(GLFWwindow* window) {
  return *static_cast<WindowEvents*>(glfwGetWindowUserPointer(window));
}

void push(GLFWwindow* window, const InputEvent& event) {
  events_of(window).queue.push(event);
}

}  // namespace

void WindowEvents::install(GLFWwindow* window) {
  using Kind = InputEvent::Kind;
  glfwSetWindowUserPointer(window, this);
  glfwSetCursorPosCallback(window, [](GLFWwindow* w, double x, double y) {
    push(w, {.kind = Kind::move, .x = x, .y = y});
  });
  glfwSetMouseButtonCallback(window, [](GLFWwindow* w, int button, int action, int) {
    push(w, {.kind = Kind::button, .code = button, .down = action == GLFW_PRESS});
  });
  glfwSetScrollCallback(window, [](GLFWwindow* w, double x, double y) {
    push(w, {.kind = Kind::wheel, .x = x, .y = y});
  });
  glfwSetKeyCallback(window, [](GLFWwindow* w, int key, int, int action, int) {
    // ImGui repeats held keys by itself.
    if (action == GLFW_REPEAT) return;
    push(w, {.kind = Kind::key, .code = key, .down = action == GLFW_PRESS});
  });
  glfwSetCharCallback(window, [](GLFWwindow* w, unsigned code) {
    push(w, {.kind = Kind::character, .code = static_cast<int>(code)});
  });
  glfwSetWindowFocusCallback(window, [](GLFWwindow* w, int focused) {
    push(w, {.kind = Kind::focus, .down = focused == GLFW_TRUE});
  });
  glfwSetCursorEnterCallback(window, [](GLFWwindow* w, int entered) {
    if (entered == GLFW_FALSE) push(w, {.kind = Kind::move, .x = -1e9, .y = -1e9});
  });
  glfwSetDropCallback(window, [](GLFWwindow* w, int count, const char** paths) {
    for (int i = 0; i < count; ++i) events_of(w).dropped.emplace_back(paths[i]);
  });
  glfwSetWindowCloseCallback(window, [](GLFWwindow* w) {
    push(w, {.kind = Kind::close});
    glfwSetWindowShouldClose(w, GLFW_FALSE);
  });
  glfwSetWindowRefreshCallback(window, [](GLFWwindow* w) { events_of(w).repaint = true; });
  glfwSetFramebufferSizeCallback(window,
                                 [](GLFWwindow* w, int, int) { events_of(w).repaint = true; });
  glfwSetWindowContentScaleCallback(
      window, [](GLFWwindow* w, float, float) { events_of(w).repaint = true; });
}

void feed_imgui(const FrameInput& input) {
  ImGuiIO& io = ImGui::GetIO();
  if (input.focus_changed) io.AddFocusEvent(input.focused);
  const bool outside = input.x < -1e8;
  io.MousePos = outside ? ImVec2(-FLT_MAX, -FLT_MAX)
                        : ImVec2(static_cast<float>(input.x), static_cast<float>(input.y));
  std::copy(std::begin(input.buttons), std::end(input.buttons), std::begin(io.MouseDown));
  std::copy(std::begin(input.keys), std::end(input.keys), std::begin(io.KeysDown));
  io.MouseWheel += static_cast<float>(input.wheel_y);
  io.MouseWheelH += static_cast<float>(input.wheel_x);
  for (const unsigned code : input.characters) io.AddInputCharacter(code);
  const auto either = [&](int left, int right) { return io.KeysDown[left] || io.KeysDown[right]; };
  io.KeyCtrl = either(GLFW_KEY_LEFT_CONTROL, GLFW_KEY_RIGHT_CONTROL);
  io.KeyShift = either(GLFW_KEY_LEFT_SHIFT, GLFW_KEY_RIGHT_SHIFT);
  io.KeyAlt = either(GLFW_KEY_LEFT_ALT, GLFW_KEY_RIGHT_ALT);
  io.KeySuper = either(GLFW_KEY_LEFT_SUPER, GLFW_KEY_RIGHT_SUPER);
}

}  // namespace bight::view
