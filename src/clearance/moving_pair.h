#pragma once
// Two parts that may meet while linear joints move them: the input shared by blocked region, reach
// and bed map.

#include <vector>

#include "base/vec.h"
#include "shape/solid.h"

namespace bight::clearance {

/// Values of one joint, lower <= upper, in the joint's unit.
struct JointRange {
  double lower = 0.0;
  double upper = 0.0;
};

/// Two parts, and how the joints move A relative to B.
struct MovingPair {
  const shape::Solid* a = nullptr;
  const shape::Solid* b = nullptr;
  std::vector<Vec3> directions;  ///< mm of A relative to B per unit of each joint; zero: no effect
};

}  // namespace bight::clearance
