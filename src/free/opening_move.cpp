#include "free/opening_move.h"

#include <algorithm>
#include <array>

namespace bight::free {
namespace {

constexpr double k_resolution_mm = 0.5;

/// How far a window stands open (negative: closed) after a move along one direction.
class MoveTrial {
 public:
  MoveTrial(const AnchorPair& anchors, const HangingLine& line, const WindowOptions& options,
            bool start, const Vec3& direction)
      : anchors_(anchors), line_(line), options_(options), start_(start), direction_(direction) {}

  Window window(double distance) const {
    AnchorPair moved = anchors_;
    (start_ ? moved.start : moved.end) += distance * direction_;
    return length_window(moved, line_, options_);
  }
  bool open(double distance) const { return window(distance).status == WindowStatus::open; }
  double gap(double distance) const {
    const Window w = window(distance);
    return w.max_mm - w.min_mm;
  }

 private:
  const AnchorPair& anchors_;
  const HangingLine& line_;
  const WindowOptions& options_;
  bool start_;
  Vec3 direction_;
};

/// Best place between two steps that do not open it: the gap is continuous, its peak may be narrow.
double peak(const MoveTrial& trial, double lower, double upper) {
  while (upper - lower > k_resolution_mm) {
    const double a = lower + (upper - lower) / 3.0;
    const double b = upper - (upper - lower) / 3.0;
    (trial.gap(a) < trial.gap(b) ? lower : upper) = trial.gap(a) < trial.gap(b) ? a : b;
  }
  return 0.5 * (lower + upper);
}

/// First distance found to open the window; negative when there is none.
double first_open(const MoveTrial& trial, double reach) {
  constexpr int k_steps = 40;
  double closed = 0.0;
  double opened = -1.0;
  double best_gap = trial.gap(0.0);
  double best = 0.0;
  for (int i = 1; i <= k_steps && opened < 0.0; ++i) {
    const double distance = reach * i / k_steps;
    const Window w = trial.window(distance);
    if (w.status == WindowStatus::open) {
      opened = distance;
    } else {
      closed = distance;
      if (w.max_mm - w.min_mm > best_gap) {
        best_gap = w.max_mm - w.min_mm;
        best = distance;
      }
    }
  }
  if (opened < 0.0) {
    const double step = reach / k_steps;
    closed = std::max(0.0, best - step);
    opened = peak(trial, closed, std::min(reach, best + step));
    if (!trial.open(opened)) return -1.0;
  }
  while (opened - closed > k_resolution_mm) {
    const double middle = 0.5 * (closed + opened);
    (trial.open(middle) ? opened : closed) = middle;
  }
  return opened;
}

}  // namespace

std::vector<AnchorMove> opening_moves(const AnchorPair& anchors, const HangingLine& line,
                                      const WindowOptions& options, const MoveOptions& moves) {
  std::vector<AnchorMove> found;
  if (length_window(anchors, line, options).status != WindowStatus::closed) return found;
  const std::array<Vec3, 6> directions{Vec3(0, 0, 1),  Vec3(0, 0, -1), Vec3(1, 0, 0),
                                       Vec3(-1, 0, 0), Vec3(0, 1, 0),  Vec3(0, -1, 0)};
  for (const bool start : {true, false}) {
    if (!(start ? moves.start_may_move : moves.end_may_move)) continue;
    for (const Vec3& direction : directions) {
      const MoveTrial trial(anchors, line, options, start, direction);
      const double distance = first_open(trial, moves.reach_mm);
      if (distance >= 0.0) found.push_back({start, direction, distance, trial.window(distance)});
    }
  }
  std::stable_sort(found.begin(), found.end(), [](const AnchorMove& a, const AnchorMove& b) {
    return a.distance_mm < b.distance_mm;
  });
  return found;
}

}  // namespace bight::free
