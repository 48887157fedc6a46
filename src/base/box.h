#pragma once
// Axis-aligned boxes.

#include <algorithm>
#include <limits>

#include "base/vec.h"

namespace bight {

/// Axis-aligned box [lower, upper] in mm. The default is the empty box: it contains nothing, and
/// extending it by a point gives that point.
struct Box {
  Vec3 lower{std::numeric_limits<double>::infinity()};
  Vec3 upper{-std::numeric_limits<double>::infinity()};

  bool empty() const { return !(lower.x <= upper.x && lower.y <= upper.y && lower.z <= upper.z); }
  Vec3 center() const { return 0.5 * (lower + upper); }
  Vec3 size() const { return upper - lower; }

  void extend(const Vec3& p) {
    lower = glm::min(lower, p);
    upper = glm::max(upper, p);
  }
  void extend(const Box& other) {
    lower = glm::min(lower, other.lower);
    upper = glm::max(upper, other.upper);
  }
};

/// The box moved by `t` (mm).
inline Box translated(const Box& b, const Vec3& t) {
  return {b.lower + t, b.upper + t};
}

/// The box grown by `margin` (mm) on every side.
inline Box grown(const Box& b, double margin) {
  return {b.lower - Vec3(margin), b.upper + Vec3(margin)};
}

/// True when the closed boxes share a point.
inline bool overlap(const Box& a, const Box& b) {
  return a.lower.x <= b.upper.x && b.lower.x <= a.upper.x && a.lower.y <= b.upper.y &&
         b.lower.y <= a.upper.y && a.lower.z <= b.upper.z && b.lower.z <= a.upper.z;
}

}  // namespace bight
