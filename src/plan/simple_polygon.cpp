#include "plan/simple_polygon.h"

#include <algorithm>

namespace bight::plan {
namespace {

/// Twice the signed area of the triangle a b c: positive when c lies left of a to b.
double side(const Vec2& a, const Vec2& b, const Vec2& c) {
  return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

/// c lies in the box of a and b; on the segment when it is on its line.
bool in_box(const Vec2& a, const Vec2& b, const Vec2& c) {
  return std::min(a.x, b.x) <= c.x && c.x <= std::max(a.x, b.x) && std::min(a.y, b.y) <= c.y &&
         c.y <= std::max(a.y, b.y);
}

/// The closed segments a b and c d share a point.
bool meet(const Vec2& a, const Vec2& b, const Vec2& c, const Vec2& d) {
  const double c_side = side(a, b, c);
  const double d_side = side(a, b, d);
  const double a_side = side(c, d, a);
  const double b_side = side(c, d, b);
  const bool crosses = ((c_side > 0.0 && d_side < 0.0) || (c_side < 0.0 && d_side > 0.0)) &&
                       ((a_side > 0.0 && b_side < 0.0) || (a_side < 0.0 && b_side > 0.0));
  return crosses || (c_side == 0.0 && in_box(a, b, c)) || (d_side == 0.0 && in_box(a, b, d)) ||
         (a_side == 0.0 && in_box(c, d, a)) || (b_side == 0.0 && in_box(c, d, b));
}

}  // namespace

std::optional<std::size_t> first_bad_edge(const std::vector<Vec2>& outline) {
  const std::size_t n = outline.size();
  for (std::size_t i = 0; i < n; ++i) {
    if (outline[i] == outline[(i + 1) % n]) return i;
  }
  for (std::size_t i = 0; i < n; ++i) {
    const Vec2& a = outline[i];
    const Vec2& b = outline[(i + 1) % n];
    const Vec2& c = outline[(i + 2) % n];
    // Neighbours share b; they overlap when c lies on the line of a b on the same side of b as a.
    if (side(a, b, c) == 0.0 && glm::dot(a - b, c - b) > 0.0) return i;
    for (std::size_t j = i + 2; j < n; ++j) {
      const bool neighbours = i == 0 && j + 1 == n;
      if (!neighbours && meet(a, b, outline[j], outline[(j + 1) % n])) return i;
    }
  }
  return {};
}

}  // namespace bight::plan
