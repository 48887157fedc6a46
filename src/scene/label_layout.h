#pragma once
// Puts labels on a picture so that no two overlap.

#include <optional>
#include <vector>

#include "base/vec.h"

namespace bight::scene {

/// Rectangle in pixels, y down.
struct Rect {
  Vec2 lower{0.0};
  Vec2 upper{0.0};
  bool overlaps(const Rect& o) const {
    return lower.x < o.upper.x && o.lower.x < upper.x && lower.y < o.upper.y && o.lower.y < upper.y;
  }
  bool inside(const Rect& o) const {
    return lower.x >= o.lower.x && lower.y >= o.lower.y && upper.x <= o.upper.x &&
           upper.y <= o.upper.y;
  }
  bool contains(const Vec2& p) const {
    return p.x >= lower.x && p.y >= lower.y && p.x <= upper.x && p.y <= upper.y;
  }
};

/// A label that wants to be near a point.
struct LabelRequest {
  Vec2 at{0.0};
  Vec2 size{0.0};     ///< of its box, padding included
  int priority = 0;   ///< higher ones choose first; equal ones in their order
  double gap = 8.0;   ///< distance of the box to the point
  bool must = false;  ///< may go as far as it takes to find room
};

/// The box of a label, and whether it went so far that a line should join it to its point.
struct LabelPlace {
  Rect box;
  bool leader = false;
};

/// Where the line from the point meets the box.
Vec2 leader_end(const Vec2& at, const Rect& box);

/// One entry a request; nothing when there is no room near its point. Boxes lie within `area`, do
/// not overlap each other and keep off `taken`; lines to points cross neither, unless a label that
/// must be there finds no other place. Deterministic.
std::vector<std::optional<LabelPlace>> place_labels(const std::vector<LabelRequest>& requests,
                                                    const Rect& area,
                                                    const std::vector<Rect>& taken = {});

}  // namespace bight::scene
