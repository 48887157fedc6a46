#pragma once
// Points of two triangles that meet, from which a proof of contact can start: a point of A that
// lies inside B stays there for all poses that do not move it across B's surface.

#include <optional>

#include "clearance/column_interval.h"

namespace bight::clearance {

/// One place, as a point of A (where A has zero translation) and as a point of B.
struct MeetingPoints {
  Vec3 of_a;
  Vec3 of_b;
};

/// Middle of the overlap of A moved by t and B, seen along z: on each triangle, one above the
/// other. Nothing when they do not overlap or stand along z.
std::optional<MeetingPoints> overlap_middle(Triangle a, const Triangle& b, const Vec3& t);

/// Middle of the line in which A moved by t and B cross, moved `depth` mm against both outward
/// normals: into both solids, if these are that thick. `mirrored`: the corners run clockwise seen
/// from outside. Nothing when they do not cross.
std::optional<MeetingPoints> crossing_middle(Triangle a, const Triangle& b, const Vec3& t,
                                             double depth, bool mirrored);

/// The corner of each that goes deepest into the other part when A comes from above (below) along
/// z.
MeetingPoints deepest_corners(const Triangle& a, const Triangle& b, bool from_above);

}  // namespace bight::clearance
