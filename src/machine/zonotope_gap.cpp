#include "machine/zonotope_gap.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/check.h"
#include "base/tolerance.h"

namespace bight::machine {

namespace {

/// mm. Distances are found to this: far below what a machine is built to, far above the rounding of
/// coordinates of some metres (1e-12).
constexpr double k_gap_tolerance_mm = 1e-9;

/// Rounds of a search that ends by itself after a dozen; a bound against cycling by rounding.
constexpr int k_most_rounds = 500;

/// A corner of zonotope minus box, and the values of the generators that make it.
struct Corner {
  Vec3 point{0.0};
  std::vector<double> values;
};

/// The corner that lies furthest along `direction`.
Corner furthest(const Zonotope& zonotope, const Box& box, const Vec3& direction) {
  Corner corner{.point = zonotope.origin, .values = {}};
  corner.values.reserve(zonotope.generators.size());
  for (const Zonotope::Generator& g : zonotope.generators) {
    const double value = glm::dot(g.direction, direction) > 0.0 ? g.upper : g.lower;
    corner.values.push_back(value);
    corner.point += value * g.direction;
  }
  for (int i = 0; i < 3; ++i) {
    corner.point[i] -= direction[i] > 0.0 ? box.lower[i] : box.upper[i];
  }
  return corner;
}

using Weights = std::array<double, 4>;

/// Weights (sum 1, any sign) of the point of smallest norm in the plane through up to four corners
/// that do not lie in a smaller one: the corners' differences, made orthogonal one by one (modified
/// Gram-Schmidt), carry the origin's foot.
Weights flat_minimum(const std::vector<Corner>& corners) {
  const std::size_t n = corners.size() - 1;
  std::array<Vec3, 3> axis{};                       // orthogonal directions of the plane
  std::array<std::array<double, 3>, 3> triangle{};  // difference i = sum of triangle[i][k] axis k
  for (std::size_t i = 0; i < n; ++i) {
    Vec3 rest = corners[i + 1].point - corners[0].point;
    for (std::size_t k = 0; k < i; ++k) {
      triangle[i][k] = glm::dot(rest, axis[k]);
      rest -= triangle[i][k] * axis[k];
    }
    triangle[i][i] = glm::length(rest);
    axis[i] = triangle[i][i] > 0.0 ? rest / triangle[i][i] : Vec3(0.0);
  }
  Weights weights{};
  double sum = 0.0;
  for (std::size_t i = n; i-- > 0;) {
    double along = -glm::dot(corners[0].point, axis[i]);
    for (std::size_t k = i + 1; k < n; ++k) along -= weights[k + 1] * triangle[k][i];
    weights[i + 1] = triangle[i][i] > 0.0 ? along / triangle[i][i] : 0.0;
    sum += weights[i + 1];
  }
  weights[0] = 1.0 - sum;
  return weights;
}

Vec3 combine(const std::vector<Corner>& corners, const Weights& weights) {
  Vec3 point(0.0);
  for (std::size_t i = 0; i < corners.size(); ++i) point += weights[i] * corners[i].point;
  return point;
}

/// Moves from the weights towards the minimum of the corners' plane; where a weight would turn
/// negative its corner is dropped and the rest tried again.
void descend(std::vector<Corner>& corners, Weights& weights) {
  for (;;) {
    const Weights target = flat_minimum(corners);
    double step = 1.0;
    std::size_t leaving = corners.size();
    for (std::size_t i = 0; i < corners.size(); ++i) {
      if (target[i] > 0.0) continue;
      const double allowed = weights[i] > 0.0 ? weights[i] / (weights[i] - target[i]) : 0.0;
      if (allowed < step || leaving == corners.size()) {
        step = std::min(step, allowed);
        leaving = i;
      }
    }
    for (std::size_t i = 0; i < corners.size(); ++i) {
      weights[i] += step * (target[i] - weights[i]);
    }
    if (leaving == corners.size() || corners.size() == 1) return;
    corners.erase(corners.begin() + static_cast<std::ptrdiff_t>(leaving));
    std::move(weights.begin() + static_cast<std::ptrdiff_t>(leaving) + 1, weights.end(),
              weights.begin() + static_cast<std::ptrdiff_t>(leaving));
    weights.back() = 0.0;
  }
}

}  // namespace

ZonotopeGap gap_to_box(const Zonotope& zonotope, const Box& box) {
  std::vector<Corner> corners = {furthest(zonotope, box, box.center() - zonotope.origin)};
  Weights weights{1.0, 0.0, 0.0, 0.0};
  ZonotopeGap gap;
  Vec3 nearest(0.0);
  for (int round = 0; round < k_most_rounds; ++round) {
    nearest = combine(corners, weights);
    const double before = gap.distance;
    gap.distance = glm::length(nearest);
    if (!(gap.distance > k_gap_tolerance_mm)) {
      gap.distance = 0.0;
      gap.lower_bound = 0.0;
      gap.towards_box = Vec3(0.0);
      break;
    }
    const Vec3 normal = nearest / gap.distance;
    Corner next = furthest(zonotope, box, -normal);
    const double plane = glm::dot(next.point, normal);
    if (round == 0 || plane > gap.lower_bound) {
      gap.lower_bound = std::max(0.0, plane);
      gap.towards_box = -normal;
    }
    const bool stuck = round > 0 && !(gap.distance < before);
    if (gap.distance - plane <= k_gap_tolerance_mm || corners.size() == 4 || stuck) break;
    corners.push_back(std::move(next));
    weights[corners.size() - 1] = 0.0;
    descend(corners, weights);
  }
  gap.values.assign(zonotope.generators.size(), 0.0);
  for (std::size_t i = 0; i < corners.size(); ++i) {
    for (std::size_t k = 0; k < gap.values.size(); ++k) {
      gap.values[k] += weights[i] * corners[i].values[k];
    }
  }
  return gap;
}

std::optional<double> first_contact(const Zonotope& zonotope, const Vec3& g, const Box& box,
                                    double radius) {
  BIGHT_CHECK(glm::length(g) > 0.0 && radius >= 0.0);
  // Before this value a plane across the motion parts zonotope and box.
  const Vec3 along = glm::normalize(g);
  const double behind = glm::dot(furthest(zonotope, box, along).point, along);
  double s = (-radius - behind) / glm::length(g);
  for (int round = 0; round < k_most_rounds; ++round) {
    Zonotope moved = zonotope;
    moved.origin += s * g;
    const ZonotopeGap gap = gap_to_box(moved, box);
    if (gap.distance <= radius + k_gap_tolerance_mm) return s;
    const double approach = glm::dot(gap.towards_box, g);
    if (!(approach > 0.0)) return std::nullopt;
    // Rounding leaves nothing to gain.
    if (!(gap.lower_bound > radius)) return s;
    s += (gap.lower_bound - radius) / approach;
  }
  return std::nullopt;
}

}  // namespace bight::machine
