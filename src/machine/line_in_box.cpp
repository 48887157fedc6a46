#include "machine/line_in_box.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "base/check.h"
#include "base/tolerance.h"

namespace bight::machine {

namespace {

/// Signed distance of a coordinate past the nearer face of [lower, upper]; 0 inside.
double past(double x, double lower, double upper) {
  return x < lower ? x - lower : (x > upper ? x - upper : 0.0);
}

/// Squared distance of p + s g to the box as a quadratic a s^2 + b s + c, valid near s.
struct Quadratic {
  double a = 0.0;
  double b = 0.0;
  double c = 0.0;
  double at(double s) const { return (a * s + b) * s + c; }
};

Quadratic squared_distance_near(double s, const Vec3& p, const Vec3& g, const Box& box) {
  Quadratic q;
  for (int i = 0; i < 3; ++i) {
    const double out = past(p[i] + s * g[i], box.lower[i], box.upper[i]);
    if (out == 0.0) continue;
    const double from_face = p[i] - (out < 0.0 ? box.lower[i] : box.upper[i]);
    q.a += g[i] * g[i];
    q.b += 2.0 * g[i] * from_face;
    q.c += from_face * from_face;
  }
  return q;
}

/// The values at which the line crosses a plane of the box, in order, with one value before the
/// first and one after the last where the distance is greater than the radius.
std::vector<double> plane_crossings(const Vec3& p, const Vec3& g, const Box& box, double radius) {
  std::vector<double> values;
  for (int i = 0; i < 3; ++i) {
    if (g[i] == 0.0) continue;
    values.push_back((box.lower[i] - p[i]) / g[i]);
    values.push_back((box.upper[i] - p[i]) / g[i]);
  }
  std::sort(values.begin(), values.end());
  // Past all planes of its own direction the line leaves the box at least this fast.
  const double slowest = glm::length(g) / std::sqrt(3.0);
  const double beyond = 2.0 * (radius + 1.0) / slowest;
  values.insert(values.begin(), values.front() - beyond);
  values.push_back(values.back() + beyond);
  return values;
}

/// The value between `outside` and `inside` at which q reaches the target, given that it is above
/// the target at `outside` and not above it at `inside`.
double crossing(const Quadratic& q, double target, double outside, double inside) {
  if (!(q.a > 0.0)) return inside;
  const double lowest = -0.5 * q.b / q.a;
  const double half = std::sqrt(std::max(0.0, (target - q.at(lowest)) / q.a));
  const double root = outside < inside ? lowest - half : lowest + half;
  return std::clamp(root, std::min(outside, inside), std::max(outside, inside));
}

/// line_in_box for a line whose values count from near the box, which keeps the digits.
std::optional<std::array<double, 2>> local_line_in_box(const Vec3& p, const Vec3& g, const Box& box,
                                                       double radius) {
  const std::vector<double> s = plane_crossings(p, g, box, radius);
  const std::size_t pieces = s.size() - 1;
  std::vector<Quadratic> squared(pieces);
  double nearest = s.front();
  double least = std::numeric_limits<double>::infinity();
  std::size_t nearest_piece = 0;
  for (std::size_t k = 0; k < pieces; ++k) {
    squared[k] = squared_distance_near(0.5 * (s[k] + s[k + 1]), p, g, box);
    const Quadratic& q = squared[k];
    const double at = q.a > 0.0 ? std::clamp(-0.5 * q.b / q.a, s[k], s[k + 1]) : s[k];
    const double value = std::max(0.0, q.at(at));
    if (value < least) {
      least = value;
      nearest = at;
      nearest_piece = k;
    }
  }
  const double target = radius * radius;
  if (!(least <= target)) {
    if (!(std::sqrt(least) <= radius + k_length_equal_mm)) return std::nullopt;
    return std::array{nearest, nearest};
  }
  // The squared distance is convex: walk outwards from its lowest point to the pieces in which it
  // passes the target.
  std::size_t first = nearest_piece;
  while (first > 0 && !(squared[first].at(s[first]) > target)) --first;
  std::size_t last = nearest_piece;
  while (last + 1 < pieces && !(squared[last].at(s[last + 1]) > target)) ++last;
  return std::array{crossing(squared[first], target, s[first], std::min(nearest, s[first + 1])),
                    crossing(squared[last], target, s[last + 1], std::max(nearest, s[last]))};
}

}  // namespace

std::optional<std::array<double, 2>> line_in_box(const Vec3& p, const Vec3& g, const Box& box,
                                                 double radius) {
  BIGHT_CHECK(glm::length(g) > 0.0 && radius >= 0.0);
  const double shift = glm::dot(box.center() - p, g) / glm::dot(g, g);
  auto ends = local_line_in_box(p + shift * g, g, box, radius);
  if (ends) {
    for (double& end : *ends) end += shift;
  }
  return ends;
}

}  // namespace bight::machine
