#include "clearance/gjk.h"

#include "shape/simplex.h"

#include <algorithm>
#include <cmath>

namespace bight::clearance {

namespace {

/// Iterations after which the bounds reached are returned; polytopes of this kind need 3 to 12.
constexpr int k_iterations = 64;

}  // namespace

SweptTriangles::Corner SweptTriangles::support(const Triangle& a, const Triangle& b,
                                               const Zonotope& z, const Vec3& direction) {
  std::uint8_t lowest = 0;
  std::uint8_t highest = 0;
  const std::array<double, 3> da{glm::dot(a[0], direction), glm::dot(a[1], direction),
                                 glm::dot(a[2], direction)};
  const std::array<double, 3> db{glm::dot(b[0], direction), glm::dot(b[1], direction),
                                 glm::dot(b[2], direction)};
  for (std::uint8_t i = 1; i < 3; ++i) {
    if (da[i] < da[lowest]) lowest = i;
    if (db[i] > db[highest]) highest = i;
  }
  Vec3 point = a[lowest] - b[highest] + z.center;
  for (const Vec3& g : z.generators) {
    point += glm::dot(g, direction) > 0.0 ? -g : g;
  }
  return {point, direction, lowest, highest};
}

GjkResult SweptTriangles::solve(const Triangle& a, const Triangle& b, const Zonotope& z,
                                const GjkLimits& limits, Vec3& start) {
  GjkResult result;
  if (!(glm::dot(start, start) > 0.0)) start = a[0] + a[1] + a[2] - b[0] - b[1] - b[2];
  Vec3 direction = start;
  if (!(glm::dot(direction, direction) > 0.0)) direction = Vec3(0.0, 0.0, 1.0);
  size_ = 0;
  double squared = std::numeric_limits<double>::infinity();
  while (result.iterations < k_iterations) {
    ++result.iterations;
    const Corner corner = support(a, b, z, direction);
    // All of the polytope lies beyond the plane through its lowest point along the direction.
    const double separation =
        glm::dot(corner.point, direction) / glm::length(direction) - limits.rounding;
    if (separation > result.lower) {
      result.lower = separation;
      start = direction;
      if (result.lower > limits.prune) return result;
    }
    bool known = false;
    for (int i = 0; i < size_; ++i) {
      known = known || simplex_[static_cast<std::size_t>(i)].point == corner.point;
    }
    if (known) break;
    // The simplex with the new corner; the corners that carry the nearest point stay.
    const auto previous_simplex = simplex_;
    const auto previous_weights = weights_;
    const int previous_size = size_;
    simplex_[static_cast<std::size_t>(size_++)] = corner;
    std::array<Vec3, 4> points{};
    for (std::size_t i = 0; i < 4; ++i) points[i] = simplex_[i].point;
    const auto weights = shape::nearest_to_origin(
        std::span<const Vec3>(points).first(static_cast<std::size_t>(size_)));
    Vec3 nearest(0.0);
    int kept = 0;
    for (std::size_t i = 0; i < static_cast<std::size_t>(size_); ++i) {
      if (!(weights[i] > 0.0)) continue;
      nearest += weights[i] * points[i];
      simplex_[static_cast<std::size_t>(kept)] = simplex_[i];
      weights_[static_cast<std::size_t>(kept)] = weights[i];
      ++kept;
    }
    size_ = kept;
    if (kept == 4) break;  // the origin is inside
    const double nearest_squared = glm::dot(nearest, nearest);
    if (!(nearest_squared < squared)) {  // no progress: rounding rules from here on
      simplex_ = previous_simplex;
      weights_ = previous_weights;
      size_ = previous_size;
      break;
    }
    squared = nearest_squared;
    if (!(squared > limits.rounding * limits.rounding)) break;
    const double length = std::sqrt(squared);
    if (length - result.lower <= 2.0 * limits.rounding) break;
    direction = nearest;
  }
  result.upper = size_ == 4 ? 0.0 : finish(a, b, z);
  if (size_ == 4) finish(a, b, z);
  if (!(result.upper > limits.rounding)) result.upper = 0.0;
  if (result.upper == 0.0) result.lower = 0.0;
  result.lower = std::min(result.lower, result.upper);
  return result;
}

double SweptTriangles::finish(const Triangle& a, const Triangle& b, const Zonotope& z) {
  point_a_ = z.center;
  point_b_ = Vec3(0.0);
  s_.assign(z.generators.size(), 0.0);
  for (std::size_t i = 0; i < static_cast<std::size_t>(size_); ++i) {
    point_a_ += weights_[i] * a[simplex_[i].a];
    point_b_ += weights_[i] * b[simplex_[i].b];
    for (std::size_t k = 0; k < s_.size(); ++k) {
      s_[k] += glm::dot(z.generators[k], simplex_[i].direction) > 0.0 ? -weights_[i] : weights_[i];
    }
  }
  for (std::size_t k = 0; k < s_.size(); ++k) {
    s_[k] = std::clamp(s_[k], -1.0, 1.0);
    point_a_ += s_[k] * z.generators[k];
  }
  return glm::length(point_a_ - point_b_);
}

}  // namespace bight::clearance
