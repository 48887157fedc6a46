#include "scene/camera.h"

#include <gtest/gtest.h>

#include <random>

#include "base/box_corners.h"

namespace bight::scene {
namespace {

constexpr Viewport k_viewport{800, 500};
const Box k_box{{-100.0, -50.0, 0.0}, {300.0, 250.0, 120.0}};

Camera some_camera(std::mt19937& random) {
  std::uniform_real_distribution<double> at(-500.0, 500.0);
  std::uniform_real_distribution<double> turn(-180.0, 180.0);
  std::uniform_real_distribution<double> tilt(-90.0, 90.0);
  std::uniform_real_distribution<double> distance(200.0, 4000.0);
  Camera camera;
  camera.target = {at(random), at(random), at(random)};
  camera.azimuth_deg = turn(random);
  camera.elevation_deg = tilt(random);
  camera.distance_mm = distance(random);
  camera.straight = (random() & 1U) != 0;
  return camera;
}

void expect_near(const Vec3& a, const Vec3& b, double tolerance) {
  EXPECT_NEAR(a.x, b.x, tolerance);
  EXPECT_NEAR(a.y, b.y, tolerance);
  EXPECT_NEAR(a.z, b.z, tolerance);
}

TEST(Camera, FrontLooksAwayFromTheOperatorWithXToTheRightAndZUp) {
  const auto camera = turned_to({}, "front");
  ASSERT_TRUE(camera);
  const CameraFrame frame = frame_of(*camera);
  expect_near(frame.right, {1.0, 0.0, 0.0}, 1e-12);
  expect_near(frame.up, {0.0, 0.0, 1.0}, 1e-12);
  expect_near(frame.forward, {0.0, 1.0, 0.0}, 1e-12);
}

TEST(Camera, AboveShowsYUpwards) {
  const CameraFrame frame = frame_of(*turned_to({}, "above"));
  expect_near(frame.right, {1.0, 0.0, 0.0}, 1e-12);
  expect_near(frame.up, {0.0, 1.0, 0.0}, 1e-12);
}

TEST(Camera, RightSeesYToTheRight) {
  const CameraFrame frame = frame_of(*turned_to({}, "right"));
  expect_near(frame.forward, {-1.0, 0.0, 0.0}, 1e-12);
  expect_near(frame.right, {0.0, 1.0, 0.0}, 1e-12);
}

TEST(Camera, UnknownViewsAreRefused) {
  EXPECT_FALSE(turned_to({}, "sideways"));
}

TEST(Camera, TheTargetIsInTheMiddleOfThePicture) {
  std::mt19937 random(1);
  for (int i = 0; i < 50; ++i) {
    const Camera camera = some_camera(random);
    const auto p = project(camera, k_viewport, camera.target);
    ASSERT_TRUE(p);
    EXPECT_NEAR(p->pixel.x, 400.0, 1e-6);
    EXPECT_NEAR(p->pixel.y, 250.0, 1e-6);
    EXPECT_NEAR(p->depth_mm, camera.distance_mm, 1e-6);
  }
}

TEST(Camera, MatricesAgreeWithProjection) {
  std::mt19937 random(2);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  for (int i = 0; i < 200; ++i) {
    const Camera camera = fitted(some_camera(random), k_box, k_viewport);
    const CameraMatrices m = matrices_of(camera, k_viewport, k_box);
    const Vec3 point =
        k_box.lower + Vec3(share(random), share(random), share(random)) * k_box.size();
    const auto p = project(camera, k_viewport, point);
    ASSERT_TRUE(p);
    const glm::dvec4 clip = m.projection * m.view * glm::dvec4(point - frame_of(camera).eye, 1.0);
    EXPECT_NEAR((clip.x / clip.w + 1.0) * 400.0, p->pixel.x, 1e-6);
    EXPECT_NEAR((1.0 - clip.y / clip.w) * 250.0, p->pixel.y, 1e-6);
    EXPECT_LE(std::abs(clip.z / clip.w), 1.0);
  }
}

TEST(Camera, RaysLeadBackToTheirPixel) {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> x(0.0, 800.0);
  std::uniform_real_distribution<double> y(0.0, 500.0);
  for (int i = 0; i < 200; ++i) {
    const Camera camera = some_camera(random);
    const Vec2 pixel(x(random), y(random));
    const Ray ray = ray_through(camera, k_viewport, pixel);
    EXPECT_NEAR(glm::length(ray.direction), 1.0, 1e-12);
    const auto p = project(camera, k_viewport, ray.origin + 700.0 * ray.direction);
    ASSERT_TRUE(p);
    EXPECT_NEAR(p->pixel.x, pixel.x, 1e-6);
    EXPECT_NEAR(p->pixel.y, pixel.y, 1e-6);
  }
}

TEST(Camera, FittedShowsTheWholeBoxAndTouchesAnEdgeOfTheMargin) {
  std::mt19937 random(4);
  constexpr double k_margin = 0.1;
  for (int i = 0; i < 200; ++i) {
    const Camera camera = fitted(some_camera(random), k_box, k_viewport, k_margin);
    double left = 1e9;
    double right = -1e9;
    double top = 1e9;
    double bottom = -1e9;
    for (const Vec3& corner : corners(k_box)) {
      const auto p = project(camera, k_viewport, corner);
      ASSERT_TRUE(p);
      left = std::min(left, p->pixel.x);
      right = std::max(right, p->pixel.x);
      top = std::min(top, p->pixel.y);
      bottom = std::max(bottom, p->pixel.y);
    }
    EXPECT_GE(left, 80.0 - 1e-6);
    EXPECT_LE(right, 720.0 + 1e-6);
    EXPECT_GE(top, 50.0 - 1e-6);
    EXPECT_LE(bottom, 450.0 + 1e-6);
    const bool fills_width = right - left > 640.0 - 1e-6;
    const bool fills_height = bottom - top > 400.0 - 1e-6;
    EXPECT_TRUE(fills_width || fills_height);
  }
}

TEST(Camera, FittedKeepsOffInsets) {
  std::mt19937 random(6);
  const Insets insets{.left = 52.0, .right = 200.0, .top = 32.0, .bottom = 90.0};
  for (int i = 0; i < 200; ++i) {
    const Camera camera = fitted(some_camera(random), k_box, k_viewport, 0.0, insets);
    Vec2 lower(1e9);
    Vec2 upper(-1e9);
    for (const Vec3& corner : corners(k_box)) {
      const Vec2 pixel = project(camera, k_viewport, corner)->pixel;
      lower = glm::min(lower, pixel);
      upper = glm::max(upper, pixel);
    }
    EXPECT_GE(lower.x, 52.0 - 1e-6);
    EXPECT_LE(upper.x, 600.0 + 1e-6);
    EXPECT_GE(lower.y, 32.0 - 1e-6);
    EXPECT_LE(upper.y, 410.0 + 1e-6);
    const bool fills_width = upper.x - lower.x > 548.0 - 1e-6;
    const bool fills_height = upper.y - lower.y > 378.0 - 1e-6;
    EXPECT_TRUE(fills_width || fills_height);
  }
}

TEST(Camera, FittingNothingChangesNothing) {
  const Camera camera;
  EXPECT_EQ(fitted(camera, Box{}, k_viewport).distance_mm, camera.distance_mm);
}

TEST(Camera, ZoomKeepsWhatIsUnderThePointer) {
  std::mt19937 random(5);
  for (int i = 0; i < 50; ++i) {
    const Camera camera = some_camera(random);
    const Vec2 pixel(613.0, 99.0);
    const Camera nearer = zoomed(camera, k_viewport, pixel, 0.7);
    // The point of the target's plane under the pixel stays there.
    const CameraFrame frame = frame_of(camera);
    const Ray ray = ray_through(camera, k_viewport, pixel);
    const double s = glm::dot(camera.target - ray.origin, frame.forward) /
                     glm::dot(ray.direction, frame.forward);
    const auto p = project(nearer, k_viewport, ray.origin + s * ray.direction);
    ASSERT_TRUE(p);
    EXPECT_NEAR(p->pixel.x, pixel.x, 1e-6);
    EXPECT_NEAR(p->pixel.y, pixel.y, 1e-6);
  }
}

TEST(Camera, PanMovesThePictureWithThePointer) {
  const Camera camera;
  const Camera moved = panned(camera, k_viewport, {30.0, -12.0});
  const auto p = project(moved, k_viewport, camera.target);
  ASSERT_TRUE(p);
  EXPECT_NEAR(p->pixel.x, 430.0, 1e-6);
  EXPECT_NEAR(p->pixel.y, 238.0, 1e-6);
}

TEST(Camera, OrbitNeverTurnsOver) {
  Camera camera;
  camera = orbited(camera, {0.0, 10'000.0});
  EXPECT_EQ(camera.elevation_deg, 90.0);
  camera = orbited(camera, {0.0, -10'000.0});
  EXPECT_EQ(camera.elevation_deg, -90.0);
}

TEST(Camera, DragAlongAnAxisFollowsThePointer) {
  Camera camera;
  camera.target = {10.0, 20.0, 30.0};
  const Vec3 start(0.0, 0.0, 50.0);
  const Vec3 axis(1.0, 0.0, 0.0);
  const auto p = project(camera, k_viewport, start + 137.0 * axis);
  ASSERT_TRUE(p);
  EXPECT_NEAR(along_line(ray_through(camera, k_viewport, p->pixel), start, axis), 137.0, 1e-6);
  // Along the line of sight nothing can be told.
  const Ray ray{{0.0, 0.0, 0.0}, {1.0, 0.0, 0.0}};
  EXPECT_EQ(along_line(ray, start, axis), 0.0);
}

TEST(Camera, RaysMeetTheGroundInFrontOnly) {
  const Ray down{{0.0, 0.0, 10.0}, glm::normalize(Vec3(1.0, 0.0, -1.0))};
  const auto hit = meet_level(down, 0.0);
  ASSERT_TRUE(hit);
  expect_near(*hit, {10.0, 0.0, 0.0}, 1e-9);
  EXPECT_FALSE(meet_level(down, 20.0));
  EXPECT_FALSE(meet_level({{0.0, 0.0, 10.0}, {1.0, 0.0, 0.0}}, 0.0));
}

}  // namespace
}  // namespace bight::scene
