#include "clearance/query.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "base/check.h"
#include "clearance/gjk.h"
#include "clearance/pair_bound.h"
#include "clearance/zonotope.h"
#include "shape/inside.h"

namespace bight::clearance {

namespace {

using shape::Bvh;
using shape::BvhNode;
using shape::Solid;

constexpr double k_infinity = std::numeric_limits<double>::infinity();

/// Node pairs after which the nearest pair so far is improved for the first time: easy queries are
/// done by then.
constexpr std::uint64_t k_first_polish = 160;

/// mm. Beyond it squares leave the range of single precision.
constexpr double k_largest_size = 1e15;

struct Pair {
  std::uint32_t a;
  std::uint32_t b;
  float value;  ///< see PairBound::value
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
  const Solid* a = nullptr;
  const Solid* b = nullptr;
  Zonotope zonotope;
  SweptTriangles triangles;
  QueryResult result;
  std::vector<double> coefficients;
  bool warm = false;
  std::uint32_t best_a = 0;  ///< leaves of the nearest pair so far
  std::uint32_t best_b = 0;
  Vec3 direction{0.0};
  Vec3 offset{0.0};
  Vec3 point_a{0.0};  ///< as in the result, but relative to B's origin
  Vec3 point_b{0.0};
  double rounding = 0.0;
  double prune = k_infinity;
  double leaf_prune = k_infinity;
  float prune_squared = 0.0F;
  float pruned_squared = 0.0F;
  PairBound pair_bound;
  double lower = k_infinity;
  double tolerance = 0.01;
  std::uint64_t next_polish = 0;
  double polished = k_infinity;  ///< upper bound when polish() was last done
  std::optional<double> enough;
  std::array<Pair, std::size_t{4} * (Bvh::k_max_depth + 1)> stack{};

  float value(std::uint32_t node_a, std::uint32_t node_b) const {
    return pair_bound.value(node_a, node_b, prune_squared);
  }

  void update_prune() {
    if (enough) {
      prune = leaf_prune = *enough;
    } else {
      const double gap = std::min(tolerance, 0.5 * result.upper_mm);
      prune = result.upper_mm - gap;
      // Leaves nearer to the best are solved to the end: where many pairs are equally near (flat
      // over flat), a best that is short of optimal by nearly the tolerance would let all of them
      // through the pruning of nodes.
      leaf_prune = result.upper_mm - 0.125 * gap;
    }
    // Rounded up, so that a pruned pair is farther than `prune`.
    prune_squared = static_cast<float>(prune * prune * (1.0 + 0x1p-22));
  }

  bool finished() const { return result.upper_mm == 0.0 || (enough && result.upper_mm <= *enough); }

  void solve_leaf(std::uint32_t leaf_a, std::uint32_t leaf_b) {
    ++result.counters.leaf_pairs;
    const Triangle pa = corners(a->mesh, a->bvh.nodes[leaf_a].triangle(), b->bvh.origin);
    const Triangle pb = corners(b->mesh, b->bvh.nodes[leaf_b].triangle(), b->bvh.origin);
    Vec3 start = direction;
    const GjkResult r = triangles.solve(pa, pb, zonotope, {leaf_prune, rounding}, start);
    result.counters.gjk_iterations += static_cast<std::uint64_t>(r.iterations);
    lower = std::min(lower, r.lower);
    if (!(r.upper < result.upper_mm)) {
      // A yes or no question may never see a nearest pair; what separated this one separates more.
      if (enough) pair_bound.set_guess(start);
      return;
    }
    result.upper_mm = r.upper;
    direction = start;
    pair_bound.set_guess(direction);
    warm = true;
    best_a = leaf_a;
    best_b = leaf_b;
    point_a = triangles.point_a();
    point_b = triangles.point_b();
    coefficients.assign(triangles.coefficients().begin(), triangles.coefficients().end());
    update_prune();
  }

  /// Looks at all pairs of two subtrees that may be nearer than `prune`, nearer children first.
  /// `base`: first free place of the stack.
  void search(std::uint32_t root_a, std::uint32_t root_b, std::size_t base) {
    std::size_t depth = base;
    stack[depth++] = {root_a, root_b, value(root_a, root_b)};
    while (depth > base && !finished()) {
      const Pair pair = stack[--depth];
      if (pair.value > prune_squared) {
        pruned_squared = std::min(pruned_squared, pair.value);
        continue;
      }
      const BvhNode& na = a->bvh.nodes[pair.a];
      const BvhNode& nb = b->bvh.nodes[pair.b];
      if (na.leaf() && nb.leaf()) {
        solve_leaf(pair.a, pair.b);
        continue;
      }
      const float size_a = na.half[0] + na.half[1] + na.half[2];
      const float size_b = nb.half[0] + nb.half[1] + nb.half[2];
      const bool split_a = nb.leaf() || (!na.leaf() && size_a >= size_b);
      Pair near = split_a ? Pair{na.child(), pair.b, 0.0F} : Pair{pair.a, nb.child(), 0.0F};
      Pair far = split_a ? Pair{na.child() + 1, pair.b, 0.0F} : Pair{pair.a, nb.child() + 1, 0.0F};
      result.counters.node_pairs += 2;
      near.value = value(near.a, near.b);
      far.value = value(far.a, far.b);
      if (far.value < near.value) std::swap(near, far);
      stack[depth++] = far;
      stack[depth++] = near;
      if (base == 0 && result.counters.node_pairs >= next_polish) polish(depth);
    }
  }

  /// Improves the nearest pair by turns: the nearest of all B to the triangle of A, then of all A
  /// to that of B. Each is a search down one tree only, and what it gains prunes both.
  void polish(std::size_t base) {
    next_polish = 2 * result.counters.node_pairs;
    if (enough || !(result.upper_mm < polished)) return;
    for (int turn = 0; turn < 8 && !finished(); ++turn) {
      const double before = result.upper_mm;
      if (turn % 2 == 0) {
        search(best_a, 0, base);
      } else {
        search(0, best_b, base);
      }
      if (turn > 0 && !(result.upper_mm < before)) break;
    }
    polished = result.upper_mm;
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
    BIGHT_CHECK(options.tolerance_mm >= 0.0);
    zonotope.assign(travel);
    if (options.enough_mm && !(*options.enough_mm >= 0.0)) return result;  // above, whatever it is
    // Any support value is a sum of two corners, the middle of Z and its generators, times a unit
    // direction: (terms + 5) roundings of 2^-53 on numbers below `size`, doubled to be safe.
    double size = largest_coordinate(*a) + largest_coordinate(*b);
    for (const Vec3& g : zonotope.generators) {
      size += std::fabs(g.x) + std::fabs(g.y) + std::fabs(g.z);
    }
    const auto terms = static_cast<double>(zonotope.generators.size() + 3);
    offset = a->bvh.origin - b->bvh.origin + zonotope.center;
    size += std::fabs(offset.x) + std::fabs(offset.y) + std::fabs(offset.z);
    if (!(size < k_largest_size)) return result;  // nothing is known
    rounding = zonotope.rounding + (terms + 13.0) * 0x1p-52 * size;
    pair_bound.assign(a->bvh, b->bvh, offset, zonotope.generators, rounding);
    pair_bound.set_guess(direction);
    tolerance = std::max(options.tolerance_mm, 4.0 * rounding);
    enough = options.enough_mm;
    lower = k_infinity;
    update_prune();
    if (warm) solve_leaf(best_a, best_b);
    lower = k_infinity;  // the pair will be met again
    pruned_squared = std::numeric_limits<float>::infinity();
    next_polish = k_first_polish;
    polished = k_infinity;
    if (!finished()) search(0, 0, 0);
    if (result.upper_mm < k_infinity) {
      pose_at(zonotope, travel, coefficients, result.pose);
      result.point_a = point_a + b->bvh.origin;
      result.point_b = point_b + b->bvh.origin;
    }
    if (finished()) {
      result.lower_mm = 0.0;
      return result;
    }
    lower = std::min(lower, std::sqrt(static_cast<double>(pruned_squared)) * (1.0 - 0x1p-50));
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
