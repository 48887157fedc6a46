#include "view/shown_handles.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "shape/primitive.h"

namespace bight::view {
namespace {

using editor::Handle;
using editor::HandleKind;

constexpr scene::Viewport k_viewport{800, 600};
constexpr double k_em = 15.0;
const scene::Rect k_area{{0.0, 32.0}, {800.0, 600.0}};
const std::vector<Vec3> k_axes{{1.0, 0.0, 0.0}, {0.0, 1.0, 0.0}, {0.0, 0.0, 1.0}};

Handle hook(const std::string& name, const Vec3& at) {
  return {"support." + name, HandleKind::support, name, "support." + name + ".at", "", at, k_axes};
}

Handle part(const std::string& name) {
  return {"part." + name, HandleKind::part, name, "part." + name + ".at", "", Vec3(0.0), k_axes};
}

/// A wall behind Y = 1000 that looks towards the operator.
scene::Scene room() {
  scene::Scene scene;
  scene::Solid wall;
  wall.mesh = std::make_shared<const shape::Mesh>(
      shape::make_box(Vec3(0.0, 1000.0, 0.0), Vec3(1000.0, 20.0, 800.0)));
  wall.inward = Vec3(0.0, -1.0, 0.0);
  wall.id = scene.id_of({scene::ThingKind::part, "wall"});
  scene.solids.push_back(wall);
  return scene;
}

scene::Camera seen_from(const char* view) {
  return fitted(*scene::turned_to({}, view), Box{{0.0, 0.0, 0.0}, {1000.0, 1000.0, 800.0}},
                k_viewport);
}

std::vector<ShownHandle> shown(const std::vector<Handle>& all, const HandleChoice& choice,
                               const char* view = "corner") {
  return shown_handles(all, choice, room(), seen_from(view), k_viewport, k_area, k_em);
}

TEST(ShownHandles, AHoldThatTheOptionDoesNotUseHasNone) {
  Handle unused = hook("other option's", {300.0, 500.0, 700.0});
  unused.in_use = false;
  const std::vector<Handle> all{hook("rafter", {700.0, 500.0, 700.0}), unused};
  ASSERT_EQ(shown(all, {}).size(), 1U);
  // Nor does it have one when it is chosen in the list.
  const auto chosen = shown(all, {.selected = "other option's"});
  ASSERT_EQ(chosen.size(), 1U);
  EXPECT_EQ(chosen[0].handle.thing, "rafter");
}

TEST(ShownHandles, APartHasOneAtItsMiddleWhenItIsChosen) {
  EXPECT_TRUE(shown({part("wall")}, {}).empty());
  const auto chosen = shown({part("wall")}, {.selected = "wall"});
  ASSERT_EQ(chosen.size(), 1U);
  EXPECT_EQ(chosen[0].held, Vec3(500.0, 1010.0, 400.0));
  EXPECT_EQ(chosen[0].handle.at, Vec3(0.0));
}

TEST(ShownHandles, AWallThatIsHiddenFromBehindHasNone) {
  EXPECT_EQ(shown({part("wall")}, {.selected = "wall"}, "front").size(), 1U);
  EXPECT_TRUE(shown({part("wall")}, {.selected = "wall"}, "back").empty());
}

TEST(ShownHandles, OnlyOneEndOfAChainHasArms) {
  Handle fixed = hook("chain", {200.0, 500.0, 300.0});
  Handle moving = hook("chain", {800.0, 500.0, 300.0});
  fixed.id = "chain.fixed_at";
  moving.id = "chain.moving_at";
  const auto first = shown({fixed, moving}, {.selected = "chain"});
  ASSERT_EQ(first.size(), 2U);
  EXPECT_EQ(first[0].arms.size(), 3U);
  EXPECT_TRUE(first[1].arms.empty());
  const auto second = shown({fixed, moving}, {.selected = "chain", .armed = "chain.moving_at"});
  EXPECT_TRUE(second[0].arms.empty());
  EXPECT_EQ(second[1].arms.size(), 3U);
}

TEST(ShownHandles, ArmsThatWouldLeaveThePicturePointTheOtherWay) {
  const auto low = shown({hook("hook", {500.0, 500.0, 400.0})}, {.selected = "hook"}, "front");
  const auto high = shown({hook("hook", {500.0, 500.0, 780.0})}, {.selected = "hook"}, "front");
  ASSERT_EQ(low.size(), 1U);
  ASSERT_EQ(high.size(), 1U);
  // Seen from the front, Y has no length: X and Z are left.
  ASSERT_EQ(low[0].arms.size(), 2U);
  ASSERT_EQ(high[0].arms.size(), 2U);
  EXPECT_LT(low[0].arms[1].grip.y, low[0].pixel.y);
  EXPECT_GT(high[0].arms[1].grip.y, high[0].pixel.y);
}

TEST(ShownHandles, TheirRoomsHoldHandlesAndGrips) {
  const auto handles = shown({hook("hook", {500.0, 500.0, 400.0})}, {.selected = "hook"});
  const std::vector<scene::Rect> rooms = rooms_of(handles, k_em);
  const auto is_kept = [&](const Vec2& pixel) {
    return std::ranges::any_of(rooms, [&](const scene::Rect& r) { return r.contains(pixel); });
  };
  EXPECT_TRUE(is_kept(handles[0].pixel));
  for (const ShownArm& arm : handles[0].arms) EXPECT_TRUE(is_kept(arm.grip));
}

}  // namespace
}  // namespace bight::view
