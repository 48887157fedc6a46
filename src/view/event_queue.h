#pragma once
// Events of the window system on their way to Dear ImGui, let out no faster than one frame can tell
// them apart: ImGui 1.86 samples its input once a frame, so what happens twice within one slow
// frame would be lost (a double click, ctrl+a, a fast drag).

#include <deque>
#include <filesystem>
#include <vector>

struct GLFWwindow;

namespace bight::view {

/// What happened in the window, in order.
struct InputEvent {
  enum class Kind { move, button, wheel, key, character, focus, close };
  Kind kind = Kind::move;
  double x = 0.0;  ///< pointer place or wheel steps
  double y = 0.0;
  int code = 0;       ///< button, GLFW key, or code point
  bool down = false;  ///< pressed, or focus gained
};

/// The input of one frame, as ImGui wants it.
struct FrameInput {
  static constexpr int k_buttons = 5;
  static constexpr int k_keys = 512;
  double x = -1e9;
  double y = -1e9;
  double wheel_x = 0.0;  ///< of this frame only
  double wheel_y = 0.0;
  bool buttons[k_buttons] = {};
  bool keys[k_keys] = {};
  std::vector<unsigned> characters;  ///< of this frame only
  bool focused = true;
  bool focus_changed = false;
  bool close_asked = false;  ///< of this frame only
};

/// Pure: no window is needed to test it. Rules of one frame: moves merge, but none after a wheel,
/// key or character; a button, a change of focus or the wish to close comes alone; no key changes
/// twice, and presses and releases do not mix; a press never follows a character. The wish to close
/// waits for its turn: what was pressed before it must not answer the question that it brings up.
class EventQueue {
 public:
  void push(const InputEvent& event) { waiting_.push_back(event); }
  bool empty() const { return waiting_.empty(); }

  /// Takes what fits into one frame.
  const FrameInput& next_frame();
  /// What the last next_frame() gave.
  const FrameInput& last_frame() const { return state_; }

 private:
  bool take(const InputEvent& event, struct TakenKinds& taken);
  std::deque<InputEvent> waiting_;
  FrameInput state_;
};

/// The queue with what else a window reports. Installs itself as the window's callbacks.
struct WindowEvents {
  EventQueue queue;
  std::vector<std::filesystem::path> dropped;  ///< files that were dropped on the window
  bool repaint = true;  ///< uncovered, resized or moved to a screen of another scale

  void install(GLFWwindow* window);
};

/// Puts a frame's input where ImGui 1.86 reads it. Call between ImGui_ImplGlfw_NewFrame and
/// ImGui::NewFrame.
void feed_imgui(const FrameInput& input);

}  // namespace bight::view
