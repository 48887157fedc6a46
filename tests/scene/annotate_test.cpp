#include "scene/annotate.h"

#include <gtest/gtest.h>

#include <random>

#include "shape/primitive.h"

namespace bight::scene {
namespace {

constexpr Viewport k_viewport{900, 600};

/// A stand-in for a font: eight pixels a character.
Vec2 measure(const std::string& text, TextRole role) {
  const double height = role == TextRole::strong ? 20.0 : role == TextRole::text ? 16.0 : 14.0;
  return {8.0 * static_cast<double>(text.size()), height};
}

Scene box_scene() {
  Scene scene;
  Solid solid;
  solid.mesh =
      std::make_shared<const shape::Mesh>(shape::make_box(Vec3(0.0), Vec3(400.0, 300.0, 200.0)));
  solid.id = scene.id_of({ThingKind::part, "block"});
  scene.solids.push_back(solid);
  scene.bounds = drawn_box(scene);
  scene.focus = scene.bounds;
  scene.grid = Grid{0.0, {-200.0, -200.0}, {600.0, 500.0}};
  scene.title = "Block";
  scene.subtitle = "X 0.0 mm";
  scene.legends.push_back({"Bend limit used", Ramp::use, "0 %", "100 %", "over"});
  return scene;
}

void expect_no_overlap(const Annotations& a) {
  for (std::size_t i = 0; i < a.texts.size(); ++i) {
    const Rect one{a.texts[i].corner, a.texts[i].corner + a.texts[i].size};
    EXPECT_TRUE(one.inside({{0.0, 0.0}, {900.0, 600.0}})) << a.texts[i].text;
    for (std::size_t k = 0; k < i; ++k) {
      const Rect other{a.texts[k].corner, a.texts[k].corner + a.texts[k].size};
      EXPECT_FALSE(one.overlaps(other)) << a.texts[i].text << " on " << a.texts[k].text;
    }
  }
}

bool has_text(const Annotations& a, const std::string& text) {
  return std::any_of(a.texts.begin(), a.texts.end(),
                     [&](const PlacedText& t) { return t.text == text; });
}

TEST(Annotate, TextsNeverOverlapFromAnySide) {
  std::mt19937 random(11);
  std::uniform_real_distribution<double> turn(-180.0, 180.0);
  std::uniform_real_distribution<double> tilt(-90.0, 90.0);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  std::size_t texts = 0;
  for (int round = 0; round < 80; ++round) {
    Scene scene = box_scene();
    for (int i = 0; i < 25; ++i) {
      const Vec3 at = Vec3(share(random), share(random), share(random)) * Vec3(400.0, 300.0, 200.0);
      scene.labels.push_back({at, "line " + std::to_string(i), i % 3, Paint::text, 0});
    }
    scene.dimensions.push_back({{10.0, 10.0, 10.0}, {14.0, 10.0, 10.0}, "4.00 mm", Mark::act});
    scene.dimensions.push_back({{0.0, 0.0, 0.0}, {400.0, 0.0, 0.0}, "400.00 mm", Mark::clear});
    Camera camera;
    camera.azimuth_deg = turn(random);
    camera.elevation_deg = tilt(random);
    camera.straight = round % 3 == 0;
    if (round % 8 == 0) camera = *turned_to(camera, "front");
    camera = fitted(camera, scene.focus, k_viewport);
    const Annotations a = annotate(scene, camera, k_viewport, measure);
    expect_no_overlap(a);
    EXPECT_TRUE(has_text(a, "4.00 mm"));
    EXPECT_TRUE(has_text(a, "400.00 mm"));
    texts += a.texts.size();
  }
  EXPECT_GT(texts, 1500U);
}

TEST(Annotate, RulersOfAStraightViewReadTrueToScale) {
  const Scene scene = box_scene();
  const Camera camera = fitted(*turned_to({}, "front"), scene.focus, k_viewport);
  const Annotations a = annotate(scene, camera, k_viewport, measure);
  ASSERT_TRUE(has_text(a, "X, mm"));
  ASSERT_TRUE(has_text(a, "Z, mm"));
  // The number 100 of the lower ruler stands under the point X = 100.
  const auto at = project(camera, k_viewport, {100.0, 0.0, 0.0});
  bool found = false;
  for (const PlacedText& t : a.texts) {
    if (t.text == "100" && t.corner.y > 500.0) {
      found = true;
      EXPECT_NEAR(t.corner.x + 0.5 * t.size.x, at->pixel.x, 1.0);
    }
  }
  EXPECT_TRUE(found);
}

TEST(Annotate, InchesAreNamedOnRulers) {
  Scene scene = box_scene();
  scene.unit = LengthUnit::inch;
  const Camera camera = fitted(*turned_to({}, "above"), scene.focus, k_viewport);
  const Annotations a = annotate(scene, camera, k_viewport, measure);
  EXPECT_TRUE(has_text(a, "X, in"));
  EXPECT_TRUE(has_text(a, "Y, in"));
}

TEST(Annotate, ALeaningViewHasAxesAndGridNumbersInsteadOfRulers) {
  const Scene scene = box_scene();
  const Camera camera = fitted(*turned_to({}, "corner"), scene.focus, k_viewport);
  const Annotations a = annotate(scene, camera, k_viewport, measure);
  EXPECT_TRUE(has_text(a, "X"));
  EXPECT_TRUE(has_text(a, "Z"));
  const Annotations without = annotate(scene, camera, k_viewport, measure, {.axes = false});
  EXPECT_FALSE(has_text(without, "Z"));
}

TEST(Annotate, SignsAtOnePlaceStandSideBySide) {
  Scene scene = box_scene();
  for (const Mark mark : {Mark::stop, Mark::act, Mark::note}) {
    scene.signs.push_back({{200.0, 150.0, 100.0}, mark, 0});
  }
  const Camera camera = fitted(*turned_to({}, "corner"), scene.focus, k_viewport);
  const Annotations a = annotate(scene, camera, k_viewport, measure);
  ASSERT_EQ(a.signs.size(), 3U);
  for (std::size_t i = 1; i < a.signs.size(); ++i) {
    EXPECT_GE(glm::length(a.signs[i].at - a.signs[i - 1].at), 2.0 * a.signs[i].radius_px - 1e-9);
  }
}

TEST(Annotate, PanelsThatCoverThePictureStayFreeOfText) {
  const Scene scene = box_scene();
  const Camera camera = fitted(*turned_to({}, "corner"), scene.focus, k_viewport);
  const Annotations a = annotate(scene, camera, k_viewport, measure,
                                 {.insets = {.left = 250.0, .right = 100.0, .top = 40.0}});
  EXPECT_FALSE(a.texts.empty());
  for (const PlacedText& t : a.texts) {
    EXPECT_GE(t.corner.x, 250.0);
    EXPECT_LE(t.corner.x + t.size.x, 800.0);
    EXPECT_GE(t.corner.y, 40.0);
  }
}

TEST(Annotate, NamesKeepOffHandles) {
  Scene scene = box_scene();
  scene.labels.push_back({{200.0, 150.0, 200.0}, "rafter hook", 5, Paint::text, 0});
  const Camera camera = fitted(*turned_to({}, "corner"), scene.focus, k_viewport);
  const Vec2 hook = project(camera, k_viewport, {200.0, 150.0, 200.0})->pixel;
  const Rect ring{hook - Vec2(8.25), hook + Vec2(8.25)};
  const Rect arm{hook + Vec2(8.0, -8.0), hook + Vec2(60.0, 8.0)};  // where the name would stand
  const Annotations a = annotate(scene, camera, k_viewport, measure, {.keep_free = {ring, arm}});
  ASSERT_TRUE(has_text(a, "rafter hook"));
  for (const PlacedText& t : a.texts) {
    if (t.text != "rafter hook") continue;
    const Rect text{t.corner, t.corner + t.size};
    EXPECT_FALSE(text.overlaps(ring));
    EXPECT_FALSE(text.overlaps(arm));
  }
}

TEST(Annotate, WhatLiesUnderALegendHasNoName) {
  Scene scene = box_scene();
  const Camera camera = fitted(*turned_to({}, "above"), scene.focus, k_viewport);
  const auto under = [&](const Vec2& pixel) {
    return *meet_level(ray_through(camera, k_viewport, pixel), 0.0);
  };
  scene.labels.push_back({under({830.0, 530.0}), "under the legend", 5, Paint::text, 0});
  scene.labels.push_back({under({300.0, 300.0}), "in the open", 5, Paint::text, 0});
  const Annotations a = annotate(scene, camera, k_viewport, measure);
  EXPECT_FALSE(has_text(a, "under the legend"));
  EXPECT_TRUE(has_text(a, "in the open"));
}

TEST(Annotate, LegendsStandOneAboveTheOtherWithTheSameEdges) {
  Scene scene = box_scene();
  scene.legends.push_back({"Room for the length", Ramp::window, "0 mm", "33 mm", ""});
  const Camera camera = fitted(*turned_to({}, "corner"), scene.focus, k_viewport);
  const auto boxes = legend_boxes(scene, camera, k_viewport, measure, {});
  ASSERT_EQ(boxes.size(), 2U);
  EXPECT_EQ(boxes[0].lower.x, boxes[1].lower.x);
  EXPECT_EQ(boxes[0].upper.x, boxes[1].upper.x);
  EXPECT_LT(boxes[1].upper.y, boxes[0].lower.y);
}

TEST(Annotate, ALegendIsNarrowerInANarrowPicture) {
  const Scene scene = box_scene();
  const auto width = [&](const Viewport& viewport) {
    const Rect box = legend_boxes(scene, {}, viewport, measure, {}).front();
    return box.upper.x - box.lower.x;
  };
  EXPECT_LT(width({450, 400}), width(k_viewport));
}

TEST(Annotate, ALongSubtitleIsWrappedToTheWidth) {
  Scene scene = box_scene();
  scene.subtitle =
      "router by the wall, wall bracket to plug: no length works: it has to be at least 2029 mm "
      "(wanted slack at the farthest pose) and at most 1278 mm (the lowest point has its limit).";
  const Camera camera = fitted(*turned_to({}, "corner"), scene.focus, k_viewport);
  const Annotations a = annotate(scene, camera, k_viewport, measure);
  expect_no_overlap(a);
  EXPECT_FALSE(has_text(a, scene.subtitle));
}

TEST(Annotate, NumbersOfGroundThatIsCutAwayGoWithIt) {
  Scene scene = box_scene();
  const Box ground{{-300.0, -300.0, 0.0}, {700.0, 600.0, 0.0}};
  const Camera camera = fitted(*turned_to({}, "corner"), ground, k_viewport);
  ASSERT_TRUE(has_text(annotate(scene, camera, k_viewport, measure), "Y, mm"));
  // They stand along the nearer edge, X = 600.
  scene.section = Section{{200.0, 0.0, 0.0}, {1.0, 0.0, 0.0}};
  EXPECT_FALSE(has_text(annotate(scene, camera, k_viewport, measure), "Y, mm"));
}

TEST(Annotate, StrongGridStepsAreMultiplesOfFineOnes) {
  Camera camera;
  for (camera.distance_mm = 10.0; camera.distance_mm < 1e5; camera.distance_mm *= 1.19) {
    const GridSteps steps = grid_steps(LengthUnit::mm, camera, k_viewport);
    const double ratio = steps.strong_mm / steps.fine_mm;
    EXPECT_NEAR(ratio, std::round(ratio), 1e-9);
    EXPECT_GE(ratio, 2.0);
  }
}

}  // namespace
}  // namespace bight::scene
