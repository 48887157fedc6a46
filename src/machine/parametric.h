#pragma once
// The parametric frame: a gantry machine from about fifteen dimensions that a person can measure
// with a tape, so that a plan needs no mesh to start with.
//
// Frame of reference: the top of the bed is Z = 0, its front left corner the origin. Seen from the
// front, the router stands before the head plate, which runs on the carriage plate, which runs on
// the front of the beam:
//
//     tip, router | head plate | gap | carriage plate | gap | beam        (towards +Y)
//
// so the place of the beam follows from the tip. The beam lies between the side plates, which stand
// beside the bed. With all joints at zero the tip is at Frame::tip and nothing overlaps, or a
// diagnostic says what contradicts what.
//
// Bodies (plan/frame_names.h): gantry (Y), carriage on it (X), head on that (Z). With a moving
// table the gantry stands still and the body "table" runs on Y with the bed. Parts: floor, bed,
// side left, side right, beam, carriage plate, head plate, router, tool. A part one of whose
// dimensions is zero is left out.
//
// A body or part of the plan with the name of a generated one replaces it (a part also with
// present = false, which takes it away); parts of other names join the bodies.

#include <string>

#include "base/diagnostic.h"
#include "plan/plan.h"

namespace bight::machine {

/// What the frame adds to a plan.
struct FrameParts {
  std::vector<plan::Body> bodies;
  std::vector<plan::Part> parts;
  std::vector<plan::Touching> touching;  ///< guides: pairs that run on each other by design
  plan::Tool tool;
};

/// Bodies and parts of a frame as if nothing of it were replaced.
FrameParts frame_parts(const plan::Frame& frame);

/// Keys of [frame] that give a part which the frame makes its place and size: "clear_height,
/// beam_height, beam_depth". Empty for any other name.
std::string frame_keys(const std::string& part);

/// The plan with its frame turned into bodies, parts, touching pairs and, when the plan gives none,
/// the tool; unchanged when it has no frame. Dimensions that contradict each other and joints that
/// do not suit the frame are added to `diagnostics`, with numbers, at the place of the frame.
plan::Plan with_frame(plan::Plan plan, Diagnostics& diagnostics);

}  // namespace bight::machine
