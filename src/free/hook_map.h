#pragma once
// Where on a ceiling or wall a fixed hook, or the post of a boom, gives a free run a length that
// works at every pose: a map of the window of length over a rectangle, and the best place in it.
// Coarse to fine: only cells at the border of what works and around the best place are refined.
// The window at a place is as sure as free/window.h says; what lies between places is sampled, so a
// region that works and is narrower than a coarse cell can be missed.

#include <cstddef>
#include <functional>
#include <limits>
#include <optional>
#include <vector>

#include "base/progress.h"
#include "free/window.h"

namespace bight::free {

/// A rectangle (or parallelogram) in space: corner + s across + t up, 0 <= s, t <= 1.
struct HookArea {
  Vec3 corner{0.0};
  Vec3 across{0.0};
  Vec3 up{0.0};
};

/// The window with the hook or post at a place (free/support_window.h). Called from several threads
/// at once.
using WindowAt = std::function<Window(const Vec3& place)>;

/// A place and its window. The margin is max - min (negative: missing, infinite: no limit from
/// above); relative: over min.
struct HookPlaceWindow {
  Vec2 at{0.0};  ///< s and t
  Vec3 place{0.0};
  WindowStatus status = WindowStatus::invalid;
  double min_mm = 0.0;
  double max_mm = 0.0;
  double recommended_mm = 0.0;
  double margin_mm = 0.0;
  double relative = 0.0;
  bool works = false;  ///< open by the margin that is wanted
};

enum class HookCellKind { works, fails, border };

/// A cell with its corners as indices of `places`: (0, 0), (1, 0), (0, 1), (1, 1).
struct HookCell {
  std::size_t corner[4] = {0, 0, 0, 0};
  int level = 0;  ///< halvings of a coarse cell
  HookCellKind kind = HookCellKind::fails;
};

struct HookMapOptions {
  double coarse_mm = 250.0;       ///< cells to start with are at most this large
  double fine_mm = 30.0;          ///< refined ones become at most this large
  double wanted_margin_mm = 0.0;  ///< a place works from this margin on, >= 0
  /// Of places with at least this margin the one with the shortest line is best; below it, the one
  /// with the widest margin.
  double enough_margin_mm = std::numeric_limits<double>::infinity();
  unsigned threads = 0;  ///< 0: the machine's; the result does not depend on it
};

/// Cells cover the area. `best` is an index of `places`: absent when none works. When cancelled the
/// map holds the passes that were finished, and may be empty.
struct HookMap {
  bool valid = false;  ///< false: the area or options are not finite or out of range
  bool cancelled = false;
  std::vector<HookPlaceWindow> places;  ///< in the order of evaluation
  std::vector<HookCell> cells;
  std::optional<std::size_t> best;
  double step_mm = 0.0;       ///< longest side of a finest cell: how near `best` and the border are
  double works_share = 0.0;   ///< of the area: cells that work
  double border_share = 0.0;  ///< and cells at the border
};

HookMap map_hooks(const HookArea& area, const WindowAt& window_at,
                  const HookMapOptions& options = {}, Progress* progress = nullptr);

}  // namespace bight::free
