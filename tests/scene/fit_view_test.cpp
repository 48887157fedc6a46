#include "scene/fit_view.h"

#include <gtest/gtest.h>

#include "base/box_corners.h"

namespace bight::scene {
namespace {

constexpr Viewport k_viewport{525, 485};
const Box k_machine{{0.0, 0.0, -800.0}, {1400.0, 1200.0, 1600.0}};
const Rect k_legend{{324.0, 402.0}, {511.0, 471.0}};
constexpr Insets k_bar{.top = 32.0};

TEST(FitView, TheBoxKeepsClearOfBarsAndLegendsFromEverySide) {
  bool lay_under = false;
  for (const NamedView& view : named_views()) {
    const Camera turned = *turned_to({}, view.name);
    lay_under = lay_under ||
                is_covered(k_machine, fitted(turned, k_machine, k_viewport), k_viewport, k_legend);
    const Camera camera = fitted_beside(turned, k_machine, k_viewport, 0.06, k_bar, {k_legend});
    EXPECT_FALSE(is_covered(k_machine, camera, k_viewport, k_legend)) << view.name;
    EXPECT_TRUE(is_in_view(k_machine, camera, k_viewport, k_bar)) << view.name;
  }
  EXPECT_TRUE(lay_under);
}

TEST(FitView, ALegendThatCoversNothingChangesNothing) {
  const Camera camera = *turned_to({}, "front");
  const Rect corner{{520.0, 480.0}, {525.0, 485.0}};
  EXPECT_EQ(fitted_beside(camera, k_machine, k_viewport, 0.06, {}, {corner}).distance_mm,
            fitted(camera, k_machine, k_viewport).distance_mm);
}

TEST(FitView, TheOutlineCountsAndNotTheRectangleAroundIt) {
  // Seen from the corner the outline of a box leaves the corners of its rectangle free.
  const Box cube{Vec3(0.0), Vec3(1000.0)};
  const Camera camera = fitted(*turned_to({}, "corner"), cube, k_viewport);
  Vec2 upper(0.0);
  for (const Vec3& corner : corners(cube)) {
    upper = glm::max(upper, project(camera, k_viewport, corner)->pixel);
  }
  EXPECT_FALSE(is_covered(cube, camera, k_viewport, {upper - Vec2(12.0), upper}));
  const Vec2 middle = project(camera, k_viewport, cube.center())->pixel;
  EXPECT_TRUE(is_covered(cube, camera, k_viewport, {middle, middle + Vec2(1.0)}));
}

TEST(FitView, WhatStandsOutOfThePictureIsNotInView) {
  const Camera camera = fitted(*turned_to({}, "corner"), k_machine, k_viewport);
  EXPECT_TRUE(is_in_view(k_machine, camera, k_viewport, {}));
  EXPECT_FALSE(is_in_view(k_machine, panned(camera, k_viewport, {300.0, 0.0}), k_viewport, {}));
  EXPECT_FALSE(is_in_view(k_machine, camera, k_viewport, {.left = 250.0}));
}

}  // namespace
}  // namespace bight::scene
