#pragma once
// The window of length of a free run as a function of the place of its support: a fixed hook, or
// the post of a boom. What a map of places is made from (free/hook_map.h).

#include "free/hook_map.h"
#include "free/window.h"

namespace bight::free {

/// Hook: the start (or the end) of the pair is put at the place; its joints still move it. As sure
/// as free/window.h says.
WindowAt hook_window(const AnchorPair& anchors, bool moves_start, const HangingLine& line,
                     const WindowOptions& options);

/// Boom about an upright post; the tip is at the height of the place.
struct BoomReach {
  double radius_mm = 0.0;  ///< >= 0
  double lower_deg = 0.0;  ///< from +X towards +Y
  double upper_deg = 360.0;
  int steps_per_joint = 8;
};

/// Boom post: the line runs from the tip, which points to the pair's end (free/support_boom.h) as
/// far as its stops let it, to the pair's end; the pair's start is not used. The windows at a grid
/// of poses are intersected: limits are estimated between the poses, and the poses of its extremes
/// are those of the grid.
WindowAt boom_window(const AnchorPair& anchors, const BoomReach& boom, const HangingLine& line,
                     const WindowOptions& options);

}  // namespace bight::free
