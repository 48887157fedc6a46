#pragma once
// Computation C: the window of lengths of a free run. The line must be long enough where its
// anchors are farthest apart (slack, pull, bends at the clamps) and short enough where they are
// near (droop, weight, hairpin).
//
// Models, and how sure each limit is:
// * slack: farthest straight distance x (1 + slack): proved (a corner of the joint box).
// * pull and weight: tension of the limp line (catenary) at its higher end. At a fixed length it
//   grows with the horizontal distance and with the height difference, so boxes of poses are
//   bounded by their extremes and subdivided: proved for a limp line.
// * clamp: a clamped line turns from its clamp to the straight way on an arc of the bend radius R;
// an
//   arc tangent to the chord, turning by phi, is longer than the chord by R (phi - sin phi) to
//   first order in R over distance (plane geometry). At the corners and on a grid of poses:
//   estimated.
// * droop: the lowest point of a limp line rises with each anchor and with their horizontal
//   distance, so the longest length that stays above a level is bounded the same way: proved for a
//   limp line. Stiffness moves it by a little either way: a clamped line is checked by the rod.
// * arc: a line whose curvature stays below 1/R over a length L <= 2 pi R has a chord of at least
//   2 R sin(L / 2R) (Schur's comparison theorem, 1921): holds for every line, stiff or limp:
//   proved.
// * hairpin: a limp line in a loop narrower than 2R (horizontal distance of the strands) bends to
//   its catenary radius a; it keeps a >= R up to L = sqrt(dz^2 + (2R sinh(dx / 2R))^2). Loops at
//   least 2R wide count as free of hairpins, as stiffness rounds their bottom to the half circle.
//   For a line of unknown stiffness this is a caution (`counts` is false): a stiff hose bows out
//   instead.

#include <optional>
#include <vector>

#include "free/anchor_pair.h"

namespace bight::free {

/// What hangs: one line, or a bundle taken as one.
struct HangingLine {
  double mass_kg_m = 0.0;            ///< > 0
  double bend_radius_mm = 0.0;       ///< smallest allowed; 0: no limit
  std::optional<double> max_pull_N;  ///< absent: no limit
};

struct WindowOptions {
  double slack_percent = 2.0;           ///< wanted at the farthest pose
  std::optional<double> keep_above_mm;  ///< Z that the line's middle must stay above
  double tolerance_mm = 0.01;           ///< of the proved limits, which err to the safe side
  bool hairpin_counts = false;          ///< make the hairpin caution a limit
};

enum class Certainty { proved, estimated };

enum class LimitKind { slack, pull, clamp, droop, weight, arc, hairpin };

/// A limit on the length, and the pose that sets it.
struct LengthLimit {
  LimitKind kind = LimitKind::slack;
  double length_mm = 0.0;
  Pose pose;
  Certainty certainty = Certainty::proved;
  bool counts = true;  ///< false: a caution that does not close the window
};

enum class WindowStatus {
  open,    ///< min_mm <= max_mm
  closed,  ///< no length works
  invalid  ///< a value is not finite or out of range; nothing else is set
};

/// `at_least` and `at_most` hold each limit that applies, the binding one first (cautions last).
/// max_mm is infinite when nothing limits the length from above. In a closed window
/// min_mm > max_mm; max_mm may be negative infinity (an anchor itself lies too low, or the line's
/// own weight pulls too hard at any length).
struct Window {
  WindowStatus status = WindowStatus::invalid;
  double min_mm = 0.0;
  double max_mm = 0.0;
  double recommended_mm = 0.0;  ///< length_to_cut() of an open window
  std::vector<LengthLimit> at_least;
  std::vector<LengthLimit> at_most;
  ExtremePose farthest;
  ExtremePose nearest;
};

Window length_window(const AnchorPair& anchors, const HangingLine& line,
                     const WindowOptions& options = {});

/// Overhead a tape is read to this, either way, and lines are cut to it (common practice).
inline constexpr double k_tape_mm = 10.0;

/// The least length that a tape shows and that leaves what it is read to on both sides; the middle
/// where the window is too narrow for that. `most_mm` at least `least_mm`, or infinite.
double length_to_cut(double least_mm, double most_mm);

/// How a given length stands to its window; margins are negative where it fails.
struct LengthMargin {
  double above_min_mm = 0.0;
  double below_max_mm = 0.0;
  bool fits = false;
};
LengthMargin length_margin(const Window& window, double length_mm);

}  // namespace bight::free
