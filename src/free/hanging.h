#pragma once
// A limp line between two anchors in space, at one pose: the catenary put into the vertical plane
// through its ends. And the lowest point over all poses.

#include <vector>

#include "free/anchor_pair.h"
#include "rod/catenary.h"

namespace bight::free {

/// `catenary` in its own plane; `points` in space, evenly spaced along the line from start to end,
/// empty unless catenary.has_shape().
struct HangingShape {
  rod::Catenary catenary;
  std::vector<Vec3> points;
  Vec3 lowest{0.0};
};

/// Shape at one pose with `segments` >= 1 equal pieces.
HangingShape hang_at(const AnchorPair& anchors, const Pose& pose, double length_mm,
                     double mass_kg_m, int segments = 32);

/// Lowest Z over all poses of the limp line: lower_mm <= true value <= upper_mm, which is attained
/// at `pose`. Proved: the lowest point rises with each anchor's height and with their horizontal
/// distance. `reaches` is false when the line is too short at some pose; poses that it does not
/// reach count as straight.
struct LowestOverTravel {
  double lower_mm = 0.0;
  double upper_mm = 0.0;
  Pose pose;
  bool reaches = true;
};
LowestOverTravel lowest_over_travel(const AnchorPair& anchors, double length_mm,
                                    double tolerance_mm = 0.01);

/// Greatest tension over all poses of the limp line: lower_N <= true value <= upper_N; the lower
/// one is attained at `pose`. Proved: at a fixed length it grows with the horizontal distance and
/// with the height difference of the ends. Infinite when the line is taut or too short at some
/// pose.
struct PullOverTravel {
  double lower_N = 0.0;
  double upper_N = 0.0;
  Pose pose;
};
PullOverTravel pull_over_travel(const AnchorPair& anchors, double length_mm, double mass_kg_m,
                                double tolerance_N = 0.001);

}  // namespace bight::free
