#include "scene/camera.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "base/box_corners.h"

namespace bight::scene {
namespace {

constexpr double k_radians = std::numbers::pi / 180.0;

/// Half the height of the picture at the target, mm.
double half_height(const Camera& camera) {
  return camera.distance_mm * std::tan(0.5 * camera.field_of_view_deg * k_radians);
}

double aspect(const Viewport& viewport) {
  return static_cast<double>(std::max(viewport.width, 1)) /
         static_cast<double>(std::max(viewport.height, 1));
}

}  // namespace

CameraFrame frame_of(const Camera& camera) {
  const double a = camera.azimuth_deg * k_radians;
  const double e = camera.elevation_deg * k_radians;
  CameraFrame frame;
  frame.right = {std::cos(a), std::sin(a), 0.0};
  frame.forward = {-std::cos(e) * std::sin(a), std::cos(e) * std::cos(a), -std::sin(e)};
  frame.up = glm::cross(frame.right, frame.forward);
  frame.eye = camera.target - camera.distance_mm * frame.forward;
  return frame;
}

CameraMatrices matrices_of(const Camera& camera, const Viewport& viewport, const Box& bounds) {
  const CameraFrame frame = frame_of(camera);
  CameraMatrices m;
  for (int c = 0; c < 3; ++c) {
    m.view[c][0] = frame.right[c];
    m.view[c][1] = frame.up[c];
    m.view[c][2] = -frame.forward[c];
  }
  double nearest = std::numeric_limits<double>::infinity();
  double farthest = -nearest;
  if (bounds.empty()) {
    nearest = 0.1 * camera.distance_mm;
    farthest = 10.0 * camera.distance_mm;
  } else {
    for (const Vec3& p : corners(bounds)) {
      const double depth = glm::dot(p - frame.eye, frame.forward);
      nearest = std::min(nearest, depth);
      farthest = std::max(farthest, depth);
    }
  }
  const double slack = 0.01 * std::max(farthest - nearest, 1.0);
  nearest -= slack;
  farthest += slack;
  const double h = half_height(camera);
  const double w = h * aspect(viewport);
  m.projection = Mat4(0.0);
  if (camera.straight) {
    m.projection[0][0] = 1.0 / w;
    m.projection[1][1] = 1.0 / h;
    m.projection[2][2] = -2.0 / (farthest - nearest);
    m.projection[3][2] = -(farthest + nearest) / (farthest - nearest);
    m.projection[3][3] = 1.0;
  } else {
    // A near plane at a thousandth of the far one keeps 0.1 mm apart at machine size.
    farthest = std::max(farthest, 1e-3 * camera.distance_mm);
    nearest = std::clamp(nearest, 1e-3 * farthest, 0.999 * farthest);
    m.projection[0][0] = camera.distance_mm / w;
    m.projection[1][1] = camera.distance_mm / h;
    m.projection[2][2] = -(farthest + nearest) / (farthest - nearest);
    m.projection[2][3] = -1.0;
    m.projection[3][2] = -2.0 * farthest * nearest / (farthest - nearest);
  }
  m.near_mm = nearest;
  m.far_mm = farthest;
  return m;
}

double mm_per_pixel(const Camera& camera, const Viewport& viewport, double depth_mm) {
  const double at_target = 2.0 * half_height(camera) / std::max(viewport.height, 1);
  return camera.straight ? at_target : at_target * depth_mm / camera.distance_mm;
}

std::optional<Projected> project(const Camera& camera, const Viewport& viewport,
                                 const Vec3& point) {
  const CameraFrame frame = frame_of(camera);
  const Vec3 p = point - frame.eye;
  const double depth = glm::dot(p, frame.forward);
  if (!camera.straight && !(depth > 1e-6 * camera.distance_mm)) return {};
  const double scale = 1.0 / mm_per_pixel(camera, viewport, depth);
  return Projected{{0.5 * viewport.width + scale * glm::dot(p, frame.right),
                    0.5 * viewport.height - scale * glm::dot(p, frame.up)},
                   depth};
}

Ray ray_through(const Camera& camera, const Viewport& viewport, const Vec2& pixel) {
  const CameraFrame frame = frame_of(camera);
  const double scale = mm_per_pixel(camera, viewport, camera.distance_mm);
  const Vec3 offset = scale * (pixel.x - 0.5 * viewport.width) * frame.right -
                      scale * (pixel.y - 0.5 * viewport.height) * frame.up;
  if (camera.straight) return {frame.eye + offset, frame.forward};
  return {frame.eye, glm::normalize(camera.distance_mm * frame.forward + offset)};
}

std::optional<Vec3> meet_level(const Ray& ray, double level_mm) {
  const double s = (level_mm - ray.origin.z) / ray.direction.z;
  if (!(s >= 0.0) || !std::isfinite(s)) return {};
  return ray.origin + s * ray.direction;
}

double along_line(const Ray& ray, const Vec3& point, const Vec3& direction) {
  const Vec3 between = point - ray.origin;
  const double dd = glm::dot(direction, direction);
  const double dr = glm::dot(direction, ray.direction);
  const double determinant = dd - dr * dr;
  // Seen along the direction nothing can be said: stay.
  if (!(determinant > 1e-9 * dd)) return 0.0;
  return (dr * glm::dot(between, ray.direction) - glm::dot(between, direction)) / determinant;
}

Camera fitted(Camera camera, const Box& box, const Viewport& viewport, double margin,
              const Insets& insets) {
  if (box.empty()) return camera;
  const CameraFrame frame = frame_of(camera);
  const double t = std::tan(0.5 * camera.field_of_view_deg * k_radians);
  const double whole[2] = {t * aspect(viewport), t};
  const double size[2] = {static_cast<double>(std::max(viewport.width, 1)),
                          static_cast<double>(std::max(viewport.height, 1))};
  const double before[2] = {insets.left, insets.bottom};
  const double after[2] = {insets.right, insets.top};
  // Tangents of the sides of the free part, to the left and below, to the right and above.
  const auto side = [&](int k, double inset) {
    return whole[k] * (1.0 - 2.0 * (margin + inset / size[k]));
  };
  const Vec3 axis[2] = {frame.right, frame.up};
  const Vec3 center = box.center();
  double distance = 1e-3;
  double low[2];
  double high[2];
  double most[2];
  double least[2];
  for (int k = 0; k < 2; ++k) {
    low[k] = side(k, before[k]);
    high[k] = side(k, after[k]);
    // Where insets and margins leave next to nothing, a tenth of the picture is used all the same.
    const double missing = 0.5 * (0.2 * whole[k] - low[k] - high[k]);
    if (missing > 0.0) {
      low[k] += missing;
      high[k] += missing;
    }
    // A corner at (x, z) is inside when -low (z + distance) <= x - shift <= high (z + distance).
    most[k] = -std::numeric_limits<double>::infinity();
    least[k] = -most[k];
    for (const Vec3& corner : corners(box)) {
      const double x = glm::dot(corner - center, axis[k]);
      const double z = camera.straight ? 0.0 : glm::dot(corner - center, frame.forward);
      most[k] = std::max(most[k], x - high[k] * z);
      least[k] = std::min(least[k], x + low[k] * z);
    }
    distance = std::max(distance, (most[k] - least[k]) / (low[k] + high[k]));
  }
  camera.target = center;
  for (int k = 0; k < 2; ++k) {
    const double shift = 0.5 * (most[k] + least[k] + (low[k] - high[k]) * distance);
    camera.target += shift * axis[k];
  }
  camera.distance_mm = distance;
  return camera;
}

Camera orbited(Camera camera, const Vec2& pixels) {
  constexpr double k_degrees_per_pixel = 0.35;
  camera.azimuth_deg = std::remainder(camera.azimuth_deg - k_degrees_per_pixel * pixels.x, 360.0);
  camera.elevation_deg =
      std::clamp(camera.elevation_deg + k_degrees_per_pixel * pixels.y, -90.0, 90.0);
  return camera;
}

Camera panned(Camera camera, const Viewport& viewport, const Vec2& pixels) {
  const CameraFrame frame = frame_of(camera);
  const double scale = mm_per_pixel(camera, viewport, camera.distance_mm);
  camera.target += scale * (pixels.y * frame.up - pixels.x * frame.right);
  return camera;
}

Camera zoomed(Camera camera, const Viewport& viewport, const Vec2& pixel, double factor) {
  constexpr double k_nearest_mm = 1.0;
  constexpr double k_farthest_mm = 1e6;
  const double distance = std::clamp(camera.distance_mm * factor, k_nearest_mm, k_farthest_mm);
  const CameraFrame frame = frame_of(camera);
  const double change =
      mm_per_pixel(camera, viewport, camera.distance_mm) * (1.0 - distance / camera.distance_mm);
  camera.target += change * ((pixel.x - 0.5 * viewport.width) * frame.right -
                             (pixel.y - 0.5 * viewport.height) * frame.up);
  camera.distance_mm = distance;
  return camera;
}

const std::vector<NamedView>& named_views() {
  static const std::vector<NamedView> views{
      {"corner", "from the front right, above", 32.0, 24.0, false},
      {"left-corner", "from the front left, above", -32.0, 24.0, false},
      {"back-corner", "from behind on the right, above", 148.0, 24.0, false},
      {"low", "from the front right, at eye height of a child", 24.0, 4.0, false},
      {"front", "straight, from the operator's side", 0.0, 0.0, true},
      {"back", "straight, from behind", 180.0, 0.0, true},
      {"left", "straight, from the left", -90.0, 0.0, true},
      {"right", "straight, from the right", 90.0, 0.0, true},
      {"above", "straight down", 0.0, 90.0, true},
      {"below", "straight up", 0.0, -90.0, true},
  };
  return views;
}

std::optional<Camera> turned_to(Camera camera, std::string_view view) {
  for (const NamedView& named : named_views()) {
    if (named.name != view) continue;
    camera.azimuth_deg = named.azimuth_deg;
    camera.elevation_deg = named.elevation_deg;
    camera.straight = named.straight;
    return camera;
  }
  return {};
}

}  // namespace bight::scene
