#include "clearance/zonotope.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"

namespace bight::clearance {

namespace {

/// mm. Shorter generators are left out, so that no product of lengths underflows.
constexpr double k_smallest_generator = 1e-60;

/// Parallel to rounding: then one generator takes both, and the sine of the angle between them
/// (below 8 units of rounding) times the shorter length is part of Zonotope::rounding.
bool parallel(const Vec3& g, const Vec3& h) {
  const double limit = 0x1p-50;
  const Vec3 c = glm::cross(g, h);
  return glm::dot(c, c) <= limit * limit * glm::dot(g, g) * glm::dot(h, h);
}

}  // namespace

void Zonotope::assign(std::span<const Axis> travel) {
  center = Vec3(0.0);
  generators.clear();
  shares.clear();
  double size = 0.0;
  for (const Axis& axis : travel) {
    BIGHT_CHECK(is_finite(axis.direction) && std::isfinite(axis.lower) &&
                std::isfinite(axis.upper) && axis.lower <= axis.upper);
    Share share;
    share.middle = 0.5 * axis.lower + 0.5 * axis.upper;
    share.half = 0.5 * axis.upper - 0.5 * axis.lower;
    center += share.middle * axis.direction;
    const Vec3 g = share.half * axis.direction;
    size +=
        (std::fabs(share.middle) + share.half) *
        (std::fabs(axis.direction.x) + std::fabs(axis.direction.y) + std::fabs(axis.direction.z));
    if (glm::dot(g, g) > k_smallest_generator * k_smallest_generator) {
      const auto same = std::find_if(generators.begin(), generators.end(),
                                     [&g](const Vec3& other) { return parallel(other, g); });
      share.generator = static_cast<std::int32_t>(same - generators.begin());
      if (same == generators.end()) {
        generators.push_back(g);
      } else {
        share.sign = glm::dot(*same, g) < 0.0 ? -1.0 : 1.0;
        *same += share.sign * g;
      }
    }
    shares.push_back(share);
  }
  const auto terms = static_cast<double>(travel.size());
  rounding = size * (terms + 8.0) * 0x1p-51 + terms * k_smallest_generator;
}

void pose_at(const Zonotope& z, std::span<const Axis> travel, std::span<const double> s,
             Pose& pose) {
  pose.resize(travel.size());
  for (std::size_t i = 0; i < travel.size(); ++i) {
    const Zonotope::Share& share = z.shares[i];
    double q = share.middle;
    if (share.generator != Zonotope::k_none) {
      q += share.sign * s[static_cast<std::size_t>(share.generator)] * share.half;
    }
    pose[i] = std::clamp(q, travel[i].lower, travel[i].upper);
  }
}

}  // namespace bight::clearance
