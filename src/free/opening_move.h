#pragma once
// When no length works: which anchor to move, which way and by how much, so that one does. Each
// distance is solved for: the window is computed again for every trial place.

#include <vector>

#include "free/window.h"

namespace bight::free {

/// Smallest straight move of one anchor that opens a closed window.
struct AnchorMove {
  bool moves_start = false;  ///< else the end
  Vec3 direction{0.0};       ///< unit vector
  double distance_mm = 0.0;
  Window window;  ///< the window after the move
};

/// For a closed window: moves along +-X, +-Y, +-Z that open it, shortest first, of the start
/// and/or the end, up to `reach_mm`, to 0.5 mm. Empty: no such move helps. An open window needs
/// none.
struct MoveOptions {
  bool start_may_move = true;
  bool end_may_move = false;
  double reach_mm = 1000.0;
};
std::vector<AnchorMove> opening_moves(const AnchorPair& anchors, const HangingLine& line,
                                      const WindowOptions& options, const MoveOptions& moves);

}  // namespace bight::free
