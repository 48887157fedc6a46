#pragma once
// Boom that swings freely about a vertical post and carries the line at its tip: where it points.
//
// The energy is convex in the place of the tip but not along the arc, so the arc is scanned. With
// one span alone it grows with the horizontal distance of tip and anchor, which has one least and
// one greatest value on the circle: the boom points at the anchor, uniquely unless a stop keeps it
// from there, when both stops can hold it.

#include <vector>

#include "free/support_rest.h"

namespace bight::free {

struct BoomProblem {
  Vec3 post{0.0};                  ///< on the axis, at the height of the tip
  double radius_mm = 0.0;          ///< > 0
  double lower_deg = 0.0;          ///< angle of the boom from +X towards +Y
  double upper_deg = 360.0;        ///< at most lower + 360, which means no stops
  double friction_Nmm = 0.0;       ///< moment that the pivot holds, >= 0
  std::vector<SupportSpan> spans;  ///< at least one
};

/// Coordinate: degrees. `load_N` is the force at the tip.
SupportResult rest_of_boom(const BoomProblem& problem, LineModel& model);

}  // namespace bight::free
