#include "render/renderer.h"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>

#include "render/offscreen.h"
#include "render/snapshot.h"
#include "shape/primitive.h"

namespace bight::render {
namespace {

constexpr scene::Viewport k_size{320, 240};

/// A box at the left, a sphere-like capsule at the right, a tube in front of the box.
scene::Scene simple_scene() {
  scene::Scene scene;
  scene::Solid box;
  box.mesh = std::make_shared<const shape::Mesh>(
      shape::make_box(Vec3(-150.0, -50.0, 0.0), Vec3(100.0, 100.0, 100.0)));
  box.id = scene.id_of({scene::ThingKind::part, "box"});
  scene::Solid ball;
  ball.mesh = std::make_shared<const shape::Mesh>(
      shape::make_capsule(Vec3(0.0), shape::Axis::z, 0.0, 100.0));
  ball.translation = {100.0, 0.0, 50.0};
  ball.id = scene.id_of({scene::ThingKind::part, "ball"});
  scene.solids = {box, ball};
  scene::Tube tube;
  tube.points = {{-150.0, -80.0, 50.0}, {-50.0, -80.0, 50.0}};
  tube.radius_mm = 5.0;
  tube.id = scene.id_of({scene::ThingKind::line, "cord"});
  scene.tubes.push_back(tube);
  scene.bounds = drawn_box(scene);
  scene.focus = scene.bounds;
  return scene;
}

scene::Camera front_of(const scene::Scene& scene, bool straight) {
  scene::Camera camera = *scene::turned_to({}, "front");
  camera.straight = straight;
  return fitted(camera, scene.focus, k_size);
}

class RendererTest : public ::testing::Test {
 protected:
  void SetUp() override {
    std::string problem;
    context_ = OffscreenContext::create(problem);
    ASSERT_TRUE(context_) << problem;
  }
  std::unique_ptr<OffscreenContext> context_;
};

SnapshotOptions bare() {
  SnapshotOptions options;
  options.size = k_size;
  options.annotate = {
      .labels = false, .legends = false, .title = false, .rulers = false, .axes = false};
  return options;
}

TEST_F(RendererTest, PicksTheNearestThingAtAPixelAndItsPlace) {
  const scene::Scene scene = simple_scene();
  Renderer renderer;
  for (const bool straight : {false, true}) {
    const scene::Camera camera = front_of(scene, straight);
    const auto at = [&](const Vec3& p) { return project(camera, k_size, p)->pixel; };
    const auto box = renderer.pick(scene, camera, k_size, at({-100.0, -50.0, 80.0}), 0);
    ASSERT_TRUE(box);
    EXPECT_EQ(scene.thing_of(box->id)->name, "box");
    EXPECT_NEAR(box->point.y, -50.0, 0.5);
    EXPECT_NEAR(box->point.x, -100.0, 1.0);
    const auto cord = renderer.pick(scene, camera, k_size, at({-100.0, -85.0, 50.0}), 0);
    ASSERT_TRUE(cord);
    EXPECT_EQ(scene.thing_of(cord->id)->name, "cord");
    const auto ball = renderer.pick(scene, camera, k_size, at({100.0, -50.0, 50.0}), 0);
    ASSERT_TRUE(ball);
    EXPECT_EQ(scene.thing_of(ball->id)->name, "ball");
    EXPECT_NEAR(ball->point.y, -50.0, 1.0);
    EXPECT_FALSE(renderer.pick(scene, camera, k_size, at({0.0, 0.0, 50.0}), 0));
  }
}

TEST_F(RendererTest, AThinLineIsPickedWithinAFewPixels) {
  const scene::Scene scene = simple_scene();
  Renderer renderer;
  const scene::Camera camera = front_of(scene, true);
  const double px = mm_per_pixel(camera, k_size, camera.distance_mm);
  const Vec2 beside = project(camera, k_size, {-153.0 - 2.0 * px, -80.0, 50.0})->pixel;
  EXPECT_FALSE(renderer.pick(scene, camera, k_size, beside, 0));
  const auto found = renderer.pick(scene, camera, k_size, beside, 5);
  ASSERT_TRUE(found);
}

TEST_F(RendererTest, DrawsPartsWhereTheProjectionSaysAndBackgroundElsewhere) {
  const scene::Scene scene = simple_scene();
  const scene::Camera camera = front_of(scene, false);
  const Image image = snapshot(scene, camera, bare());
  const auto pixel = [&](const Vec3& p) {
    const Vec2 at = project(camera, k_size, p)->pixel;
    return image.at(static_cast<int>(at.x), static_cast<int>(at.y));
  };
  const auto* part = pixel({-100.0, -50.0, 80.0});
  const auto* nothing = pixel({0.0, -50.0, 50.0});
  EXPECT_GT(std::abs(part[0] - nothing[0]), 20);
}

TEST_F(RendererTest, WhatASectionTakesAwayThrowsNoShadow) {
  scene::Scene scene = simple_scene();
  scene.solids.resize(1);  // the box, X from -150 to -50
  scene.tubes.clear();
  scene.grid = scene::Grid{0.0, {-400.0, -200.0}, {400.0, 200.0}};
  scene.section = scene::Section{{-100.0, 0.0, 0.0}, {1.0, 0.0, 0.0}};
  const scene::Camera camera = fitted(*scene::turned_to({}, "above"), scene.focus, k_size);
  const auto brightness = [&] {
    const Image image = snapshot(scene, camera, bare());
    const Vec2 at = project(camera, k_size, {-90.0, 15.0, 0.0})->pixel;
    return static_cast<int>(image.at(static_cast<int>(at.x), static_cast<int>(at.y))[1]);
  };
  const int beyond_the_cut = brightness();
  scene.solids.clear();
  EXPECT_NEAR(beyond_the_cut, brightness(), 2);
}

TEST_F(RendererTest, TheSameSceneGivesTheSameBytes) {
  const scene::Scene scene = simple_scene();
  const scene::Camera camera = front_of(scene, false);
  EXPECT_EQ(snapshot(scene, camera, bare()).rgb, snapshot(scene, camera, bare()).rgb);
}

TEST_F(RendererTest, DarkSchemeIsDarkAndLightIsLight) {
  const scene::Scene scene = simple_scene();
  const scene::Camera camera = front_of(scene, false);
  SnapshotOptions options = bare();
  EXPECT_GT(snapshot(scene, camera, options).at(2, 2)[1], 200);
  options.scheme = scene::Scheme::dark;
  EXPECT_LT(snapshot(scene, camera, options).at(2, 2)[1], 60);
}

TEST_F(RendererTest, MovingPartsAreNotUploadedAgain) {
  scene::Scene scene = simple_scene();
  Renderer renderer;
  const scene::Camera camera = front_of(scene, false);
  EXPECT_EQ(renderer.draw(scene, camera, k_size).uploads, 2U);
  scene.solids[1].translation.x += 10.0;
  EXPECT_EQ(renderer.draw(scene, camera, k_size).uploads, 0U);
  scene.solids[1].mesh = std::make_shared<const shape::Mesh>(*scene.solids[1].mesh);
  EXPECT_EQ(renderer.draw(scene, camera, k_size).uploads, 1U);
}

TEST_F(RendererTest, ASectionTakesAwayWhatIsBeyondIt) {
  scene::Scene scene = simple_scene();
  Renderer renderer;
  const scene::Camera camera = front_of(scene, true);
  const Vec2 at = project(camera, k_size, {100.0, -50.0, 50.0})->pixel;
  ASSERT_TRUE(renderer.pick(scene, camera, k_size, at, 0));
  // Everything right of X = 0 goes.
  scene.section = scene::Section{Vec3(0.0), Vec3(1.0, 0.0, 0.0)};
  EXPECT_FALSE(renderer.pick(scene, camera, k_size, at, 0));
}

TEST_F(RendererTest, AWallHidesTheMachineFromNoSide) {
  scene::Scene scene = simple_scene();
  scene::Solid wall;
  wall.mesh = std::make_shared<const shape::Mesh>(
      shape::make_box(Vec3(-300.0, -400.0, -100.0), Vec3(600.0, 10.0, 400.0)));
  wall.inward = Vec3(0.0, 1.0, 0.0);
  wall.id = scene.id_of({scene::ThingKind::part, "wall"});
  scene.solids.push_back(wall);
  scene.bounds = drawn_box(scene);
  Renderer renderer;
  const scene::Camera front = front_of(scene, false);
  const auto through =
      renderer.pick(scene, front, k_size, project(front, k_size, {100.0, -50.0, 50.0})->pixel, 0);
  ASSERT_TRUE(through);
  EXPECT_EQ(scene.thing_of(through->id)->name, "ball");
  // From behind, the wall is seen from inside.
  const scene::Camera back = fitted(*scene::turned_to({}, "back"), scene.focus, k_size);
  const auto seen =
      renderer.pick(scene, back, k_size, project(back, k_size, {20.0, -390.0, 60.0})->pixel, 0);
  ASSERT_TRUE(seen);
  EXPECT_EQ(scene.thing_of(seen->id)->name, "wall");
}

TEST_F(RendererTest, LargeMeshesMoveAsStandIns) {
  shape::Mesh mesh;
  constexpr std::uint32_t k_side = 160;
  for (std::uint32_t y = 0; y <= k_side; ++y) {
    for (std::uint32_t x = 0; x <= k_side; ++x) {
      mesh.vertices.emplace_back(x, y, 5.0 * std::sin(0.2 * x) * std::cos(0.2 * y));
    }
  }
  for (std::uint32_t y = 0; y < k_side; ++y) {
    for (std::uint32_t x = 0; x < k_side; ++x) {
      const std::uint32_t a = y * (k_side + 1) + x;
      mesh.triangles.push_back({a, a + 1, a + k_side + 2});
      mesh.triangles.push_back({a, a + k_side + 2, a + k_side + 1});
    }
  }
  scene::Scene scene;
  scene::Solid solid;
  solid.mesh = std::make_shared<const shape::Mesh>(std::move(mesh));
  scene.solids.push_back(solid);
  scene.bounds = drawn_box(scene);
  const scene::Camera camera = fitted({}, scene.bounds, k_size);
  Renderer renderer;
  const DrawFigures still = renderer.draw(scene, camera, k_size);
  if (context_->about().find("llvmpipe") == std::string::npos) {
    GTEST_SKIP() << "a graphics card needs no stand-in";
  }
  const DrawFigures moving = renderer.draw(scene, camera, k_size, {.moving = true});
  EXPECT_EQ(still.triangles, 2U * k_side * k_side);
  EXPECT_LT(moving.triangles, still.triangles / 4);
  EXPECT_FALSE(moving.half_resolution);
  EXPECT_TRUE(renderer.draw(scene, camera, k_size, {.moving = true, .half_resolution_above = 1000})
                  .half_resolution);
}

TEST_F(RendererTest, EmptyScenesAndTinyPicturesDoNoHarm) {
  Renderer renderer;
  const scene::Scene empty;
  EXPECT_EQ(renderer.draw(empty, {}, {1, 1}).triangles, 0U);
  EXPECT_EQ(renderer.draw(empty, {}, {0, 0}).triangles, 0U);
  renderer.present(0, 0, 0);
  EXPECT_FALSE(renderer.pick(empty, {}, {1, 1}, {0.0, 0.0}));
}

}  // namespace
}  // namespace bight::render
