#include "clearance/reach.h"

#include <algorithm>
#include <cmath>

#include "clearance/query.h"

namespace bight::clearance {

namespace {

// A point as a solid: one triangle without size.
shape::Solid point_solid(const Vec3& p) {
  return shape::make_solid({{p}, {{0, 0, 0}}});
}

// The smallest e with sum of e_i * directions_i as near to r as can be, by conjugate gradients on
// the normal equations (CGLS; Hestenes and Stiefel 1952, section 10), which needs as many steps as
// there are independent directions: at most 3. The others repair rounding.
std::vector<double> least_combination(const std::vector<Vec3>& directions, Vec3 r) {
  std::vector<double> e(directions.size(), 0.0);
  const auto project = [&](const Vec3& v) {
    std::vector<double> s(directions.size());
    for (std::size_t i = 0; i < s.size(); ++i) s[i] = glm::dot(directions[i], v);
    return s;
  };
  const auto squared = [](const std::vector<double>& s) {
    double sum = 0.0;
    for (const double x : s) sum += x * x;
    return sum;
  };
  std::vector<double> s = project(r);
  std::vector<double> p = s;
  double gamma = squared(s);
  const double small = 1e-30 * gamma;
  for (int step = 0; step < 12 && gamma > small; ++step) {
    Vec3 moved(0.0);
    for (std::size_t i = 0; i < p.size(); ++i) moved += p[i] * directions[i];
    const double alpha = gamma / glm::dot(moved, moved);
    const Vec3 rest = r - alpha * moved;
    if (!(glm::dot(rest, rest) < glm::dot(r, r))) break;  // only rounding is left
    r = rest;
    for (std::size_t i = 0; i < p.size(); ++i) e[i] += alpha * p[i];
    s = project(r);
    const double next = squared(s);
    for (std::size_t i = 0; i < p.size(); ++i) p[i] = s[i] + (next / gamma) * p[i];
    gamma = next;
  }
  return e;
}

}  // namespace

ReachShare reach_share(const BlockedRegion& region) {
  ReachShare reach;
  reach.lower_volume = std::max(0.0, region.travel_volume - region.upper_volume);
  reach.upper_volume = std::max(0.0, region.travel_volume - region.lower_volume);
  reach.lower_share = reach.lower_volume / region.travel_volume;
  reach.upper_share = reach.upper_volume / region.travel_volume;
  return reach;
}

TipShortfall tip_shortfall(const Vec3& tip, const Travel& travel, const Box& wanted) {
  TipShortfall result;
  result.below_mm.assign(travel.size(), 0.0);
  result.above_mm.assign(travel.size(), 0.0);
  if (wanted.empty()) return result;
  std::vector<Vec3> units;
  for (const Axis& axis : travel) {
    const double length = glm::length(axis.direction);
    units.push_back(length > 0.0 ? axis.direction / length : Vec3(0.0));
  }
  const shape::Solid tip_solid = point_solid(tip);
  for (unsigned corner = 0; corner < 8; ++corner) {
    const Vec3 point((corner & 1U) != 0 ? wanted.upper.x : wanted.lower.x,
                     (corner & 2U) != 0 ? wanted.upper.y : wanted.lower.y,
                     (corner & 4U) != 0 ? wanted.upper.z : wanted.lower.z);
    const QueryResult nearest =
        query_clearance(tip_solid, point_solid(point), travel, {.tolerance_mm = 1e-9});
    const Vec3 reached = tip + translation(travel, nearest.pose);
    const Vec3 rest = point - reached;
    const double distance = nearest.upper_mm;
    if (corner == 0 || distance > result.distance_mm) {
      result.distance_mm = distance;
      result.farthest = point;
      result.nearest_reachable = reached;
    }
    const std::vector<double> extension = least_combination(units, rest);
    Vec3 unsupplied = rest;
    for (std::size_t i = 0; i < travel.size(); ++i) {
      const double unit_mm = glm::length(travel[i].direction);
      const double q = nearest.pose[i] * unit_mm + extension[i];
      result.below_mm[i] = std::max(result.below_mm[i], travel[i].lower * unit_mm - q);
      result.above_mm[i] = std::max(result.above_mm[i], q - travel[i].upper * unit_mm);
      unsupplied -= extension[i] * units[i];
    }
    result.unsupplied_mm = std::max(result.unsupplied_mm, glm::length(unsupplied));
  }
  return result;
}

}  // namespace bight::clearance
