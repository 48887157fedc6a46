#include "shape/cut_polygon.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/check.h"
#include "shape/triangulate.h"

namespace bight::shape {
namespace {

/// Twice the area times the normal, robust for polygons that are not quite plane (M. E. Newell, in
/// Sutherland, Sproull, Schumacker, "A characterization of ten hidden-surface algorithms", 1974).
Vec3 newell_normal(const std::vector<Vec3>& corners) {
  Vec3 normal(0.0);
  for (std::size_t i = 0; i < corners.size(); ++i) {
    normal += glm::cross(corners[i] - corners[0], corners[(i + 1) % corners.size()] - corners[0]);
  }
  return normal;
}

/// The corners without their coordinate along the largest part of the normal, counter-clockwise as
/// seen against it.
std::vector<Vec2> projected(const std::vector<Vec3>& corners, const Vec3& normal) {
  const Vec3 size = glm::abs(normal);
  const int drop = size.x > size.y && size.x > size.z ? 0 : size.y > size.z ? 1 : 2;
  int u = (drop + 1) % 3;
  int v = (drop + 2) % 3;
  if (normal[drop] < 0.0) std::swap(u, v);
  std::vector<Vec2> flat;
  flat.reserve(corners.size());
  for (const Vec3& p : corners) flat.emplace_back(p[u], p[v]);
  return flat;
}

std::vector<std::array<std::uint32_t, 3>> cut_quadrilateral(const std::vector<Vec3>& p,
                                                            const Vec3& normal) {
  const auto along_normal = [&](std::size_t a, std::size_t b, std::size_t c) {
    return glm::dot(normal, glm::cross(p[b] - p[a], p[c] - p[a]));
  };
  const double first = std::min(along_normal(0, 1, 2), along_normal(0, 2, 3));
  const double second = std::min(along_normal(0, 1, 3), along_normal(1, 2, 3));
  if (second > first) return {{0, 1, 3}, {1, 2, 3}};
  return {{0, 1, 2}, {0, 2, 3}};
}

}  // namespace

PolygonCut cut_polygon(const std::vector<Vec3>& corners) {
  BIGHT_CHECK(corners.size() >= 3);
  if (corners.size() == 3) return {{{0, 1, 2}}, true};
  const Vec3 normal = newell_normal(corners);
  if (corners.size() == 4) return {cut_quadrilateral(corners, normal), true};
  if (auto ears = triangulated(projected(corners, normal))) return {std::move(*ears), true};
  PolygonCut fan{{}, false};
  for (std::uint32_t i = 2; i < corners.size(); ++i) fan.triangles.push_back({0, i - 1, i});
  return fan;
}

}  // namespace bight::shape
