#include "clearance/column_interval.h"

#include <algorithm>
#include <cmath>

namespace bight::clearance {

namespace {

// Normals leaning less than this towards the column are left out: dividing by their z would blow up
// rounding. The bounds stay true; lateral accuracy lost is this times the height of a triangle.
constexpr double k_least_lean = 1e-4;

struct Extent {
  double lower;
  double upper;
};

Extent along(const std::array<Vec3, 3>& t, const Vec3& n) {
  const double d0 = glm::dot(t[0], n);
  const double d1 = glm::dot(t[1], n);
  const double d2 = glm::dot(t[2], n);
  return {std::min(d0, std::min(d1, d2)), std::max(d0, std::max(d1, d2))};
}

}  // namespace

std::optional<Interval> contact_interval(const Triangle& a, const Triangle& b, const Footprint& at,
                                         Interval window, double rounding) {
  Interval s = window;
  const auto reach = [&](const Vec3& n) {
    double sum = 0.0;
    for (const Vec3& h : at.half) sum += std::abs(glm::dot(n, h));
    return sum;
  };
  // Extent of K along n, times the length of n.
  const auto extent = [&](const Vec3& n) {
    const Extent ea = along(a, n);
    const Extent eb = along(b, n);
    const double c = glm::dot(n, at.center);
    const double r = reach(n);
    return Extent{eb.lower - ea.upper - c - r, eb.upper - ea.lower - c + r};
  };
  const auto beside = [&](const Vec3& edge) {  // separated across the column
    const Vec3 n(edge.y, -edge.x, 0.0);
    const double slack = rounding * (std::abs(n.x) + std::abs(n.y));
    const Extent e = extent(n);
    return e.lower > slack || e.upper < -slack;
  };
  const auto clipped_away = [&](const Vec3& n) {
    const double z = std::abs(n.z);
    if (!(z * z > k_least_lean * k_least_lean * glm::dot(n, n))) return false;
    const Extent e = extent(n.z > 0.0 ? n : -n);
    s.lower = std::max(s.lower, e.lower / z - rounding);
    s.upper = std::min(s.upper, e.upper / z + rounding);
    return s.lower > s.upper;
  };

  if (clipped_away(Vec3(0.0, 0.0, 1.0))) return std::nullopt;
  const Triangle edges_a = {a[1] - a[0], a[2] - a[1], a[0] - a[2]};
  const Triangle edges_b = {b[1] - b[0], b[2] - b[1], b[0] - b[2]};
  for (const Vec3& h : at.half)
    if (beside(h)) return std::nullopt;
  for (const Vec3& e : edges_a)
    if (beside(e)) return std::nullopt;
  for (const Vec3& e : edges_b)
    if (beside(e)) return std::nullopt;
  if (clipped_away(glm::cross(edges_a[0], edges_a[1]))) return std::nullopt;
  if (clipped_away(glm::cross(edges_b[0], edges_b[1]))) return std::nullopt;
  for (const Vec3& e : edges_a)
    for (const Vec3& f : edges_b)
      if (clipped_away(glm::cross(e, f))) return std::nullopt;
  for (std::size_t i = 0; i < at.half.size(); ++i) {
    for (std::size_t k = 0; k < 3; ++k) {
      if (clipped_away(glm::cross(edges_a[k], at.half[i]))) return std::nullopt;
      if (clipped_away(glm::cross(edges_b[k], at.half[i]))) return std::nullopt;
    }
    for (std::size_t k = i + 1; k < at.half.size(); ++k)
      if (clipped_away(glm::cross(at.half[i], at.half[k]))) return std::nullopt;
  }
  return s;
}

}  // namespace bight::clearance
