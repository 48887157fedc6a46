#pragma once
// What a general-purpose library (FCL 0.7, OBBRSS hierarchies) needs for the questions that the
// clearance query answers, done as well as we know how: the peers of the benchmarks.

#include <cstddef>
#include <memory>

#include "base/vec.h"
#include "clearance/travel.h"
#include "oracle/fcl_oracle.h"
#include "shape/mesh.h"

namespace bight::oracle {

/// An FCL model of a mesh, for timing its construction.
class FclModel {
 public:
  /// Hands the mesh to FCL without building the hierarchy.
  explicit FclModel(const shape::Mesh& mesh);
  ~FclModel();
  /// Builds the hierarchy (once).
  void build();

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

enum class Answer { yes, no, not_finished };

struct Exceeds {
  Answer answer = Answer::not_finished;
  std::size_t queries = 0;
};

/// "Does the distance stay above `distance_mm` over the whole travel?" by branch and bound: a cell
/// of the travel is clear when the distance at its middle is above half its diagonal +
/// distance_mm, else it is halved, down to a diagonal of `resolution_mm`. FCL is handed that bound
/// as the smallest distance known, which makes it 2 to 4 times faster with the same cells. Gives
/// up after `query_limit` queries. The axes must be orthogonal.
Exceeds exceeds_by_branch_and_bound(const FclPair& pair, const clearance::Travel& travel,
                                    double distance_mm, double resolution_mm,
                                    std::size_t query_limit);

/// Smallest distance over the poses spread along a straight move, at most `step_mm` apart.
double sampled_distance(const FclPair& pair, const Vec3& from, const Vec3& to, double step_mm);

}  // namespace bight::oracle
