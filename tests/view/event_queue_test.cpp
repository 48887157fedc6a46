#include "view/event_queue.h"

#include <gtest/gtest.h>

namespace bight::view {
namespace {

using Kind = InputEvent::Kind;

InputEvent move(double x) {
  return {.kind = Kind::move, .x = x};
}
InputEvent button(bool down) {
  return {.kind = Kind::button, .code = 0, .down = down};
}
InputEvent key(int code, bool down) {
  return {.kind = Kind::key, .code = code, .down = down};
}
InputEvent letter(char c) {
  return {.kind = Kind::character, .code = c};
}

EventQueue queue_of(const std::vector<InputEvent>& events) {
  EventQueue queue;
  for (const InputEvent& e : events) queue.push(e);
  return queue;
}

TEST(EventQueue, MovesOfOneFrameMerge) {
  EventQueue queue = queue_of({move(1), move(2), move(3)});
  EXPECT_EQ(queue.next_frame().x, 3.0);
  EXPECT_TRUE(queue.empty());
}

TEST(EventQueue, DoubleClickTakesAFrameForEachChange) {
  EventQueue queue = queue_of({button(true), button(false), button(true), button(false)});
  for (const bool down : {true, false, true, false}) {
    EXPECT_FALSE(queue.empty());
    EXPECT_EQ(queue.next_frame().buttons[0], down);
  }
  EXPECT_TRUE(queue.empty());
}

TEST(EventQueue, HoverIsSeenBeforeThePressAndTheDragBeforeTheRelease) {
  EventQueue queue = queue_of({move(5), button(true), move(50), button(false)});
  EXPECT_FALSE(queue.next_frame().buttons[0]);
  EXPECT_TRUE(queue.next_frame().buttons[0]);
  const FrameInput& dragged = queue.next_frame();
  EXPECT_EQ(dragged.x, 50.0);
  EXPECT_TRUE(dragged.buttons[0]);
  EXPECT_FALSE(queue.next_frame().buttons[0]);
}

TEST(EventQueue, ShortcutKeepsItsControlKeyUntilTheLetterIsSeen) {
  constexpr int k_control = 341;
  constexpr int k_s = 83;
  EventQueue queue =
      queue_of({key(k_control, true), key(k_s, true), key(k_s, false), key(k_control, false)});
  const FrameInput& pressed = queue.next_frame();
  EXPECT_TRUE(pressed.keys[k_control]);
  EXPECT_TRUE(pressed.keys[k_s]);
  const FrameInput& released = queue.next_frame();
  EXPECT_FALSE(released.keys[k_control]);
  EXPECT_FALSE(released.keys[k_s]);
  EXPECT_TRUE(queue.empty());
}

TEST(EventQueue, FiveQuickPressesOfAKeyAreFivePresses) {
  EventQueue queue;
  for (int i = 0; i < 5; ++i) {
    queue.push(key(266, true));
    queue.push(key(266, false));
  }
  int presses = 0;
  bool was_down = false;
  while (!queue.empty()) {
    const bool down = queue.next_frame().keys[266];
    presses += down && !was_down ? 1 : 0;
    was_down = down;
  }
  EXPECT_EQ(presses, 5);
}

TEST(EventQueue, WheelAndLettersBelongToOneFrameOnly) {
  EventQueue queue = queue_of({letter('a'), letter('b'), {.kind = Kind::wheel, .y = 2.0}});
  const FrameInput& first = queue.next_frame();
  EXPECT_EQ(first.characters, (std::vector<unsigned>{'a', 'b'}));
  EXPECT_EQ(first.wheel_y, 2.0);
  const FrameInput& second = queue.next_frame();
  EXPECT_TRUE(second.characters.empty());
  EXPECT_EQ(second.wheel_y, 0.0);
}

TEST(EventQueue, LosingTheFocusLetsEverythingGo) {
  EventQueue queue = queue_of({key(65, true), button(true), {.kind = Kind::focus, .down = false}});
  queue.next_frame();
  EXPECT_TRUE(queue.next_frame().buttons[0]);
  const FrameInput& away = queue.next_frame();
  EXPECT_TRUE(away.focus_changed);
  EXPECT_FALSE(away.buttons[0]);
  EXPECT_FALSE(away.keys[65]);
}

TEST(EventQueue, TheWishToCloseWaitsForWhatWasPressedBefore) {
  constexpr int k_escape = 256;
  EventQueue queue = queue_of(
      {key(k_escape, true), key(k_escape, false), {.kind = Kind::close}, key(k_escape, true)});
  EXPECT_FALSE(queue.next_frame().close_asked);
  EXPECT_FALSE(queue.next_frame().close_asked);
  const FrameInput& closing = queue.next_frame();
  EXPECT_TRUE(closing.close_asked);
  EXPECT_FALSE(closing.keys[k_escape]);
  EXPECT_FALSE(queue.next_frame().close_asked);
}

TEST(EventQueue, CodesOutsideTheTablesAreDropped) {
  EventQueue queue = queue_of({key(-1, true),
                               key(100000, true),
                               {.kind = Kind::button, .code = 77, .down = true},
                               move(4)});
  while (!queue.empty()) queue.next_frame();
  EXPECT_EQ(queue.next_frame().x, 4.0);
}

}  // namespace
}  // namespace bight::view
