#pragma once
// Relative motion of two bodies whose joints are all linear: a translation t = sum of q_i *
// direction_i.

#include <span>
#include <vector>

#include "base/box.h"
#include "base/vec.h"

namespace bight::clearance {

/// One joint as seen by a pair of bodies (A relative to B).
struct Axis {
  Vec3 direction{0.0};  ///< mm of A relative to B per unit of the joint; any length, also zero
  double lower = 0.0;   ///< joint box
  double upper = 0.0;
};

/// Box of poses of a pair; the order of the axes is the order of the values in a pose.
using Travel = std::vector<Axis>;

/// Joint values, one an axis.
using Pose = std::vector<double>;

/// Translation of A relative to B at a pose, mm.
inline Vec3 translation(std::span<const Axis> travel, std::span<const double> pose) {
  Vec3 t(0.0);
  for (std::size_t i = 0; i < travel.size(); ++i) t += pose[i] * travel[i].direction;
  return t;
}

}  // namespace bight::clearance
