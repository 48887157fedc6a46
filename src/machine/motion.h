#pragma once
// How bodies move: every joint is linear, so a body's motion is one vector a joint, and the motion
// of one body seen from another is the difference of two such lists.

#include <vector>

#include "machine/machine.h"

namespace bight::machine {

/// Motion of every body, the ground first, then the bodies in their order. A body moves with its
/// carrier and, by `ratio`, with its own joint; a joint that moves the work runs against its
/// direction, since a joint value counts the tool's motion relative to the workpiece (ISO 841:2001:
/// motions of the workpiece are primed and count the other way). BIGHT_CHECKs that carriers and
/// joints exist and that no body is carried by itself (the plan was validated).
std::vector<Body> bodies_in_motion(const std::vector<plan::Joint>& joints,
                                   const std::vector<plan::Body>& bodies);

/// Translation of `a` as seen from `b`, mm per unit of each joint.
std::vector<Vec3> relative_motion(const Body& a, const Body& b);

/// True when no joint moves `a` against `b`: they stand still to each other at every pose.
bool moves_together(const Body& a, const Body& b);

}  // namespace bight::machine
