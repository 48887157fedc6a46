#pragma once
// Lines that swing together after a rapid move, and what carries them: for study/check_swing.h.

#include <cstddef>
#include <functional>
#include <optional>
#include <vector>

#include "rod/rapid_swing.h"
#include "study/free_run_rod.h"

namespace bight::study {

class SwingSystem {
 public:
  SwingSystem() = default;
  SwingSystem(const SwingSystem&) = delete;
  SwingSystem& operator=(const SwingSystem&) = delete;
  SwingSystem(SwingSystem&&) = delete;
  SwingSystem& operator=(SwingSystem&&) = delete;
  virtual ~SwingSystem() = default;

  /// True when the joint moves some end of the lines, or what carries them.
  virtual bool moved_by(std::size_t joint) const = 0;

  /// At rest before and after a move of `joint` between two poses, `sense` its direction. Nothing
  /// where a line has no stable shape.
  virtual std::optional<rod::SwingStart> between(const free::Pose& before, const free::Pose& after,
                                                 std::size_t joint, double sense) const = 0;

  /// Of what carries the lines between them: small swings, limp lines, half of their mass. 0 where
  /// nothing brings it back.
  virtual double period_s(const free::Pose& pose) const = 0;

  /// How far beyond an end of its range the support would go, in the unit of its coordinate; 0: it
  /// stays within.
  virtual double beyond(const free::Pose& after, const rod::SwingResult& swing) const = 0;
};

/// One of the lines.
struct SwingRod {
  FreeRunRod rod;
  HangingRod line;                    ///< mass and stiffness
  bool reversed = false;              ///< it swings from its end to its start
  std::optional<Vec3> start_tangent;  ///< as it swings
  std::function<double(const free::Pose&)> length_mm;
};

/// Joints of all lines at rest, one line after the other, with links of exact length.
struct SwingRests {
  std::vector<std::vector<Vec3>> before;
  std::vector<std::vector<Vec3>> after;
};

/// The shapes before the move are followed back from those after it; where one snaps on the way, it
/// is as it hangs there by itself. Nothing where a line has no stable shape.
std::optional<SwingRests> swing_rests(const std::vector<SwingRod>& rods, const free::Pose& before,
                                      const free::Pose& after, std::size_t joint);

/// A line as after the move, in the joints that it has before; not on a carrier yet.
rod::SwingLine swing_line(const SwingRod& rod, const SwingRests& rests, std::size_t index,
                          const free::Pose& after);

}  // namespace bight::study
