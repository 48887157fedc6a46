#pragma once
// Computation A: the smallest distance of two parts over all poses of their travel, in one query.
//
// All joints are linear, so A moves against B by t = G q with q in a box: t ranges over a zonotope
// Z, and the smallest distance over all poses is the distance of A + Z and B. One traversal of two
// bounding volume hierarchies with node boxes inflated by Z; leaves (triangle + Z against triangle)
// are solved by GJK on support functions. No sampling, so no missed contact.

#include <cstdint>
#include <optional>

#include "base/vec.h"
#include "clearance/travel.h"
#include "shape/solid.h"

namespace bight::clearance {

struct QueryOptions {
  /// mm: upper - lower <= tolerance on return (unless `enough` ended it earlier).
  double tolerance_mm = 0.01;
  /// mm: stop as soon as it is known that the distance is above (lower > enough) or not above
  /// (upper <= enough).
  std::optional<double> enough_mm;
};

/// Work done, for benchmarks and tests.
struct QueryCounters {
  std::uint64_t node_pairs = 0;
  std::uint64_t leaf_pairs = 0;
  std::uint64_t gjk_iterations = 0;
};

/// lower <= true smallest distance <= upper. Distance 0 means contact somewhere in the travel:
/// touching, crossing, or one solid wholly inside the other (`contained`). `upper` is attained (to
/// rounding) at `pose` by `point_a` and `point_b`.
struct QueryResult {
  double lower_mm = 0.0;
  double upper_mm = 0.0;
  Pose pose;          ///< joint values within the travel box; meaningless when a part is empty
  Vec3 point_a{0.0};  ///< on A as moved by the pose, in the frame of B
  Vec3 point_b{0.0};  ///< on B
  bool contained = false;
  QueryCounters counters;
};

/// Smallest distance of A and B over the whole travel. An empty part is infinitely far (lower =
/// upper = infinity). A solid that is closed (shape::Solid::closed) is filled: another part inside
/// it is in contact.
QueryResult query_clearance(const shape::Solid& a, const shape::Solid& b, const Travel& travel,
                            const QueryOptions& options = {});

}  // namespace bight::clearance
