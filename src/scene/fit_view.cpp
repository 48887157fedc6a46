#include "scene/fit_view.h"

#include <algorithm>
#include <array>

#include "base/box_corners.h"

namespace bight::scene {
namespace {

/// Corners of the box on the picture; empty when one is behind the eye.
std::vector<Vec2> outline(const Box& box, const Camera& camera, const Viewport& viewport) {
  std::vector<Vec2> points;
  for (const Vec3& corner : corners(box)) {
    const auto p = project(camera, viewport, corner);
    if (!p) return {};
    points.push_back(p->pixel);
  }
  return points;
}

/// True when a line along `way` has all of `a` on one side and all of `b` on the other.
bool are_parted(const Vec2& way, const std::vector<Vec2>& a, const std::array<Vec2, 4>& b) {
  const Vec2 across(-way.y, way.x);
  const auto by_height = [&](const Vec2& p, const Vec2& q) {
    return glm::dot(p, across) < glm::dot(q, across);
  };
  const auto [low_a, high_a] = std::minmax_element(a.begin(), a.end(), by_height);
  const auto [low_b, high_b] = std::minmax_element(b.begin(), b.end(), by_height);
  return !by_height(*low_b, *high_a) || !by_height(*low_a, *high_b);
}

}  // namespace

bool is_covered(const Box& box, const Camera& camera, const Viewport& viewport, const Rect& cover) {
  const std::vector<Vec2> points = outline(box, camera, viewport);
  if (points.empty()) return true;
  const std::array<Vec2, 4> rect{
      {cover.lower, {cover.upper.x, cover.lower.y}, cover.upper, {cover.lower.x, cover.upper.y}}};
  // Two convex outlines are apart when a side of one of them parts them; the sides of the hull are
  // among the lines through two of its points.
  if (are_parted({1.0, 0.0}, points, rect) || are_parted({0.0, 1.0}, points, rect)) return false;
  for (std::size_t i = 0; i < points.size(); ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      const Vec2 way = points[i] - points[k];
      if (glm::length(way) > 1e-6 && are_parted(way, points, rect)) return false;
    }
  }
  return true;
}

bool is_in_view(const Box& box, const Camera& camera, const Viewport& viewport,
                const Insets& insets) {
  const std::vector<Vec2> points = outline(box, camera, viewport);
  const Rect free{{insets.left, insets.top},
                  {viewport.width - insets.right, viewport.height - insets.bottom}};
  return !points.empty() &&
         std::ranges::all_of(points, [&](const Vec2& p) { return free.contains(p); });
}

Camera fitted_beside(const Camera& camera, const Box& box, const Viewport& viewport, double margin,
                     const Insets& insets, const std::vector<Rect>& legends) {
  const Camera whole = fitted(camera, box, viewport, margin, insets);
  const bool clear = std::ranges::none_of(
      legends, [&](const Rect& legend) { return is_covered(box, whole, viewport, legend); });
  if (clear || box.empty()) return whole;
  Insets above = insets;
  Insets beside = insets;
  for (const Rect& legend : legends) {
    above.bottom = std::max(above.bottom, viewport.height - legend.lower.y);
    beside.right = std::max(beside.right, viewport.width - legend.lower.x);
  }
  const Camera first = fitted(camera, box, viewport, margin, above);
  const Camera second = fitted(camera, box, viewport, margin, beside);
  return first.distance_mm <= second.distance_mm ? first : second;
}

}  // namespace bight::scene
