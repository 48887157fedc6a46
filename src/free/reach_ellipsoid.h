#pragma once
// Where a line can possibly be: a point x of a line of length L with ends P and Q satisfies
// |x - P| + |x - Q| <= L, whatever its stiffness, motion or contacts. Over a box of poses and a box
// of points the smallest |x - P(q)| + |x - Q(q)| is a convex problem; its dual gives a certified
// lower bound. What it proves clear needs no sampling of shapes.

#include <optional>

#include "base/box.h"
#include "free/anchor_pair.h"

namespace bight::free {

/// lower_mm <= min over x in the box and q in the joint box of |x - P(q)| + |x - Q(q)| <= upper_mm;
/// upper_mm is attained at `point` and `pose`.
struct ReachBound {
  double lower_mm = 0.0;
  double upper_mm = 0.0;
  Vec3 point{0.0};
  Pose pose;
};

struct ReachOptions {
  double tolerance_mm = 0.01;  ///< upper - lower on return, unless the question is settled before
  /// Stop once it is known on which side of this length the minimum lies.
  std::optional<double> enough_mm;
};

/// Bounds for a box of points. An empty box is infinitely far.
ReachBound reach_bound(const AnchorPair& anchors, const Box& target,
                       const ReachOptions& options = {});

/// True when a line of this length, `radius_mm` thick on each side, proved keeps `clearance_mm`
/// from the box at every pose. False means "not proved".
bool proved_out_of_reach(const AnchorPair& anchors, double length_mm, double radius_mm,
                         double clearance_mm, const Box& target);

/// Box that holds a limp line of this length at every pose: it hangs in the vertical plane through
/// its ends, between and not above them, and not below its lowest point over the travel.
Box limp_line_box(const AnchorPair& anchors, double length_mm);

}  // namespace bight::free
