#include "clearance/query.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "clearance/gjk.h"
#include "clearance/zonotope.h"
#include "shape/inside.h"

namespace bight::clearance {

namespace {

using shape::Bvh;
using shape::BvhNode;
using shape::Solid;

constexpr double k_infinity = std::numeric_limits<double>::infinity();

struct Pair {
  std::uint32_t a;
  std::uint32_t b;
  double bound;
};

Triangle corners(const shape::Mesh& mesh, std::uint32_t triangle, const Vec3& origin) {
  const auto& t = mesh.triangles[triangle];
  return {mesh.vertices[t[0]] - origin, mesh.vertices[t[1]] - origin, mesh.vertices[t[2]] - origin};
}

double largest_coordinate(const Solid& s) {
  double size = 0.0;
  for (int k = 0; k < 3; ++k) {
    size += std::fabs(s.bvh.origin[k]) + std::fabs(static_cast<double>(s.bvh.nodes[0].center[k])) +
            static_cast<double>(s.bvh.nodes[0].half[k]);
  }
  return size;
}

}  // namespace

struct ClearanceQuery::State {
  const Solid* a;
  const Solid* b;
  Zonotope zonotope;
  SweptTriangles triangles;
  QueryResult result;
  std::vector<double> coefficients;
  bool warm = false;
  std::uint32_t warm_a = 0;
  std::uint32_t warm_b = 0;
  Vec3 direction{0.0};
  Vec3 offset{0.0};
  Vec3 inflation{0.0};
  double rounding = 0.0;
  double prune = k_infinity;
  double lower = k_infinity;
  double tolerance = 0.01;
  std::optional<double> enough;
  std::array<Pair, 2 * Bvh::k_max_depth + 2> stack{};

  double bound(std::uint32_t ia, std::uint32_t ib) const {
    const BvhNode& na = a->bvh.nodes[ia];
    const BvhNode& nb = b->bvh.nodes[ib];
    double squared = 0.0;
    for (int k = 0; k < 3; ++k) {
      const double gap = std::fabs(static_cast<double>(na.center[k]) -
                                   static_cast<double>(nb.center[k]) + offset[k]) -
                         static_cast<double>(na.half[k]) - static_cast<double>(nb.half[k]) -
                         inflation[k];
      if (gap > 0.0) squared += gap * gap;
    }
    return std::sqrt(squared) * (1.0 - 0x1p-50);
  }

  void update_prune() {
    if (enough) {
      prune = *enough;
    } else {
      prune = result.upper_mm - std::min(tolerance, 0.5 * result.upper_mm);
    }
  }

  bool finished() const { return result.upper_mm == 0.0 || (enough && result.upper_mm <= *enough); }

  void solve_leaf(std::uint32_t ta, std::uint32_t tb, std::span<const Axis> travel) {
    ++result.counters.leaf_pairs;
    const Triangle pa = corners(a->mesh, ta, b->bvh.origin);
    const Triangle pb = corners(b->mesh, tb, b->bvh.origin);
    Vec3 start = direction;
    const GjkResult r = triangles.solve(pa, pb, zonotope, {prune, rounding}, start);
    result.counters.gjk_iterations += static_cast<std::uint64_t>(r.iterations);
    lower = std::min(lower, r.lower);
    if (!(r.upper < result.upper_mm)) return;
    result.upper_mm = r.upper;
    direction = start;
    warm = true;
    warm_a = ta;
    warm_b = tb;
    pose_at(zonotope, travel, triangles.coefficients(), result.pose);
    result.point_a = triangles.point_a() + b->bvh.origin;
    result.point_b = triangles.point_b() + b->bvh.origin;
    update_prune();
  }

  void traverse(std::span<const Axis> travel) {
    std::size_t depth = 0;
    stack[depth++] = {0, 0, bound(0, 0)};
    while (depth > 0 && !finished()) {
      const Pair pair = stack[--depth];
      if (pair.bound > prune) {
        lower = std::min(lower, pair.bound);
        continue;
      }
      const BvhNode& na = a->bvh.nodes[pair.a];
      const BvhNode& nb = b->bvh.nodes[pair.b];
      if (na.leaf() && nb.leaf()) {
        solve_leaf(na.triangle(), nb.triangle(), travel);
        continue;
      }
      const double size_a = static_cast<double>(na.half[0] + na.half[1] + na.half[2]);
      const double size_b = static_cast<double>(nb.half[0] + nb.half[1] + nb.half[2]);
      const bool split_a = nb.leaf() || (!na.leaf() && size_a >= size_b);
      Pair near = split_a ? Pair{na.child(), pair.b, 0.0} : Pair{pair.a, nb.child(), 0.0};
      Pair far = split_a ? Pair{na.child() + 1, pair.b, 0.0} : Pair{pair.a, nb.child() + 1, 0.0};
      result.counters.node_pairs += 2;
      near.bound = bound(near.a, near.b);
      far.bound = bound(far.a, far.b);
      if (far.bound < near.bound) std::swap(near, far);
      stack[depth++] = far;
      stack[depth++] = near;
    }
  }

  /// Where the surfaces touch at no pose of the travel, a connected piece of one cannot change from
  /// outside to inside the other: the travel is connected and the winding number of B at a point of
  /// A is constant while the point does not cross B's surface. So one pose and one point of each
  /// piece decide for the whole travel.
  bool find_contained() {
    const Vec3 t = zonotope.center;
    if (b->closed) {
      for (const std::uint32_t v : a->piece_vertices) {
        const Vec3 p = a->mesh.vertices[v] + t;
        if (is_inside(*b, p)) return set_contained(p);
      }
    }
    if (a->closed) {
      for (const std::uint32_t v : b->piece_vertices) {
        const Vec3 p = b->mesh.vertices[v];
        if (is_inside(*a, p - t)) return set_contained(p);
      }
    }
    return false;
  }

  bool set_contained(const Vec3& p) {
    result.contained = true;
    result.point_a = p;
    result.point_b = p;
    return true;
  }

  const QueryResult& run(std::span<const Axis> travel, const QueryOptions& options) {
    result.lower_mm = 0.0;
    result.upper_mm = k_infinity;
    result.pose.assign(travel.size(), 0.0);
    result.point_a = result.point_b = Vec3(0.0);
    result.contained = false;
    result.counters = {};
    if (a->bvh.empty() || b->bvh.empty()) {
      result.lower_mm = k_infinity;
      return result;
    }
    zonotope.assign(travel);
    rounding = zonotope.rounding + 0x1p-48 * (largest_coordinate(*a) + largest_coordinate(*b));
    offset = a->bvh.origin - b->bvh.origin + zonotope.center;
    inflation = Vec3(rounding);
    for (const Vec3& g : zonotope.generators) {
      inflation += glm::abs(g);
      rounding += 0x1p-48 * (std::fabs(g.x) + std::fabs(g.y) + std::fabs(g.z));
    }
    tolerance = std::max(options.tolerance_mm, 4.0 * rounding);
    enough = options.enough_mm;
    lower = k_infinity;
    update_prune();
    if (!std::isfinite(prune) && !enough) prune = k_infinity;
    if (warm) solve_leaf(warm_a, warm_b, travel);
    lower = k_infinity;
    if (!finished()) traverse(travel);
    if (finished()) {
      result.lower_mm = 0.0;
      return result;
    }
    result.lower_mm = std::min(lower, result.upper_mm);
    if (find_contained()) {
      result.lower_mm = result.upper_mm = 0.0;
      coefficients.assign(zonotope.generators.size(), 0.0);
      pose_at(zonotope, travel, coefficients, result.pose);
    }
    return result;
  }
};

ClearanceQuery::ClearanceQuery(const Solid& a, const Solid& b) : state_(std::make_unique<State>()) {
  state_->a = &a;
  state_->b = &b;
}
ClearanceQuery::ClearanceQuery(ClearanceQuery&&) noexcept = default;
ClearanceQuery& ClearanceQuery::operator=(ClearanceQuery&&) noexcept = default;
ClearanceQuery::~ClearanceQuery() = default;

const QueryResult& ClearanceQuery::clearance(std::span<const Axis> travel,
                                             const QueryOptions& options) {
  return state_->run(travel, options);
}

bool ClearanceQuery::exceeds(std::span<const Axis> travel, double distance_mm) {
  const QueryResult& r = state_->run(travel, {.enough_mm = distance_mm});
  return r.lower_mm > distance_mm;
}

const QueryResult& ClearanceQuery::last() const {
  return state_->result;
}

void ClearanceQuery::forget() {
  state_->warm = false;
  state_->direction = Vec3(0.0);
}

QueryResult query_clearance(const Solid& a, const Solid& b, const Travel& travel,
                            const QueryOptions& options) {
  ClearanceQuery query(a, b);
  return query.clearance(travel, options);
}

bool clearance_exceeds(const Solid& a, const Solid& b, const Travel& travel, double distance_mm) {
  ClearanceQuery query(a, b);
  return query.exceeds(travel, distance_mm);
}

}  // namespace bight::clearance
