#include "clearance/meeting_points.h"

#include <algorithm>
#include <array>

namespace bight::clearance {

std::optional<MeetingPoints> overlap_middle(Triangle a, const Triangle& b, const Vec3& t) {
  for (Vec3& p : a) p += t;
  const auto turn = [](const Vec3& p, const Vec3& q, const Vec3& r) {
    return (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
  };
  const double area_a = turn(a[0], a[1], a[2]);
  const double area_b = turn(b[0], b[1], b[2]);
  // Clip a by the three edges of b (Sutherland and Hodgman 1974).
  std::array<Vec3, 8> polygon{a[0], a[1], a[2]};
  std::size_t count = 3;
  for (std::size_t k = 0; k < 3 && count > 0; ++k) {
    const Vec3& p = b[k];
    const Vec3& q = b[(k + 1) % 3];
    std::array<Vec3, 8> kept{};
    std::size_t n = 0;
    for (std::size_t i = 0; i < count; ++i) {
      const Vec3& from = polygon[i];
      const Vec3& to = polygon[(i + 1) % count];
      const double d0 = turn(p, q, from) * area_b;
      const double d1 = turn(p, q, to) * area_b;
      if (d0 >= 0.0) kept[n++] = from;
      if ((d0 > 0.0 && d1 < 0.0) || (d0 < 0.0 && d1 > 0.0))
        kept[n++] = from + (d0 / (d0 - d1)) * (to - from);
    }
    polygon = kept;
    count = n;
  }
  if (count == 0 || area_a == 0.0 || area_b == 0.0) return std::nullopt;
  Vec3 middle(0.0);
  for (std::size_t i = 0; i < count; ++i) middle += polygon[i] / static_cast<double>(count);
  // Weights of the corners, never negative: a triangle that stands along the column makes them
  // inaccurate, yet the point stays on it.
  const auto on = [&](const Triangle& t, double area) {
    const double w1 = std::clamp(turn(t[0], middle, t[2]) / area, 0.0, 1.0);
    const double w2 = std::clamp(turn(t[0], t[1], middle) / area, 0.0, 1.0 - w1);
    return t[0] + w1 * (t[1] - t[0]) + w2 * (t[2] - t[0]);
  };
  return MeetingPoints{on(a, area_a) - t, on(b, area_b)};
}

// Middle of the line in which two triangles cross, `depth` mm before the end of their contact,
// moved by `depth` against both outward normals: into both solids.
std::optional<MeetingPoints> crossing_middle(Triangle a, const Triangle& b, const Vec3& t,
                                             double depth, bool mirrored) {
  for (Vec3& p : a) p += t;
  const Vec3 normal_a = glm::cross(a[1] - a[0], a[2] - a[0]);
  const Vec3 normal_b = glm::cross(b[1] - b[0], b[2] - b[0]);
  const double length_a = glm::length(normal_a);
  const double length_b = glm::length(normal_b);
  if (!(length_a > 0.0 && length_b > 0.0)) return std::nullopt;

  std::array<Vec3, 2> ends{};
  std::size_t count = 0;
  for (std::size_t k = 0; k < 3 && count < 2; ++k) {
    const Vec3& p = a[k];
    const Vec3& q = a[(k + 1) % 3];
    const double d0 = glm::dot(p - b[0], normal_b);
    const double d1 = glm::dot(q - b[0], normal_b);
    if ((d0 < 0.0) != (d1 < 0.0)) ends[count++] = p + (d0 / (d0 - d1)) * (q - p);
  }
  if (count < 2) return std::nullopt;
  double from = 0.0;
  double to = 1.0;
  for (std::size_t k = 0; k < 3; ++k) {
    const Vec3 inward = glm::cross(normal_b, b[(k + 1) % 3] - b[k]);
    const double d0 = glm::dot(ends[0] - b[k], inward);
    const double d1 = glm::dot(ends[1] - b[k], inward);
    if (d0 < 0.0 && d1 < 0.0) return std::nullopt;
    if (d0 < 0.0) from = std::max(from, d0 / (d0 - d1));
    if (d1 < 0.0) to = std::min(to, d0 / (d0 - d1));
  }
  if (!(from <= to)) return std::nullopt;
  const double outward = mirrored ? -depth : depth;
  const Vec3 m = ends[0] + 0.5 * (from + to) * (ends[1] - ends[0]) -
                 outward * (normal_a / length_a + normal_b / length_b);
  return MeetingPoints{m - t, m};
}

MeetingPoints deepest_corners(const Triangle& a, const Triangle& b, bool from_above) {
  const auto by_z = [](const Vec3& p, const Vec3& q) { return p.z < q.z; };
  const auto of_a = std::minmax_element(a.begin(), a.end(), by_z);
  const auto of_b = std::minmax_element(b.begin(), b.end(), by_z);
  return {from_above ? *of_a.first : *of_a.second, from_above ? *of_b.second : *of_b.first};
}

}  // namespace bight::clearance
