#pragma once
// Computation A: the smallest distance of two parts over all poses of their travel, in one query.
//
// All joints are linear, so A moves against B by t = G q with q in a box: t ranges over a zonotope
// Z, and the smallest distance over all poses is the distance of A + Z and B. One traversal of two
// bounding volume hierarchies with node boxes inflated by Z; leaves (triangle + Z against triangle)
// are solved by GJK on support functions. No sampling, so no missed contact.
//
// A single pose is a travel without axes, or one whose intervals are points.

#include <cstdint>
#include <limits>
#include <memory>
#include <optional>
#include <span>

#include "base/vec.h"
#include "clearance/travel.h"
#include "shape/solid.h"

namespace bight::clearance {

struct QueryOptions {
  /// mm: upper - lower <= tolerance on return (unless `enough` ended it earlier, or rounding at
  /// coordinates of this size is larger). Where upper > 0, lower > 0 holds too whatever the
  /// tolerance: contact and clearance are always told apart (down to rounding).
  double tolerance_mm = 0.01;
  /// mm: stop as soon as it is known that the distance is above (lower > enough) or not above
  /// (upper <= enough; or, within rounding of it, lower <= enough < upper).
  std::optional<double> enough_mm;
};

/// Work done, for benchmarks and tests.
struct QueryCounters {
  std::uint64_t node_pairs = 0;
  std::uint64_t leaf_pairs = 0;
  std::uint64_t gjk_iterations = 0;
};

/// lower <= true smallest distance <= upper (to rounding: a distance below the rounding error of
/// the coordinates is 0). Distance 0 means contact somewhere in the travel: touching, crossing, or
/// one solid wholly inside the other (`contained`). `upper` is attained (to rounding) at `pose` by
/// `point_a` and `point_b`. Upper is infinity, and pose and points are meaningless, when a part is
/// empty or when `enough` was answered "above" without looking at a single pair of triangles.
struct QueryResult {
  double lower_mm = 0.0;
  double upper_mm = std::numeric_limits<double>::infinity();
  Pose pose;          ///< joint values within the travel box
  Vec3 point_a{0.0};  ///< on A as moved by the pose, in the frame of B
  Vec3 point_b{0.0};  ///< on B
  bool contained = false;
  QueryCounters counters;
};

/// Smallest distance of A and B over the whole travel. An empty part is infinitely far (lower =
/// upper = infinity). A solid that is closed (shape::Solid::closed) is filled: another part inside
/// it is in contact. The travel must be finite with lower <= upper on each axis. Parts or travels
/// that reach beyond 1e15 mm are not computed: the bounds are then 0 and infinity.
QueryResult query_clearance(const shape::Solid& a, const shape::Solid& b, const Travel& travel,
                            const QueryOptions& options = {});

/// True when it is proved that A and B stay more than `distance_mm` apart over the whole travel.
/// Clear (no contact) is clearance_exceeds(a, b, travel, 0).
bool clearance_exceeds(const shape::Solid& a, const shape::Solid& b, const Travel& travel,
                       double distance_mm);

/// The same queries for many travels of one pair of parts: keeps its working memory (no allocation
/// after the first call with a given number of axes) and starts from the nearest triangles of the
/// call before, so the next travel should be near the last. The answers' bounds hold whatever came
/// before; which of several nearest places is reported may depend on it. The solids must outlive
/// it. One object a thread.
class ClearanceQuery {
 public:
  ClearanceQuery(const shape::Solid& a, const shape::Solid& b);
  ClearanceQuery(ClearanceQuery&&) noexcept;
  ClearanceQuery& operator=(ClearanceQuery&&) noexcept;
  ~ClearanceQuery();

  /// As query_clearance. The reference is good until the next call.
  const QueryResult& clearance(std::span<const Axis> travel, const QueryOptions& options = {});
  /// As clearance_exceeds; `last()` then tells what was found (a pose in contact, for example).
  bool exceeds(std::span<const Axis> travel, double distance_mm);
  const QueryResult& last() const;
  /// Forgets the last nearest triangles: the next answer depends on its arguments alone.
  void forget();

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace bight::clearance
