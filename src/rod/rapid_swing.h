#pragma once
// How far a line swings, in its plane and across it, after a rapid move of the machine that stops
// with full deceleration: stepped through time (rod/rod_motion.h), without damping.

#include <cstddef>
#include <functional>
#include <optional>
#include <span>
#include <vector>

#include "rod/rod_motion.h"
#include "rod/spatial_rod.h"

namespace bight::rod {

/// A straight rapid move of the machine that stops with everything in the places of the problem: up
/// to speed, on, and down to rest.
struct RapidMove {
  double distance_mm = 0.0;
  double speed_mm_s = 0.0;
  double acceleration_mm_s2 = 0.0;
};

/// Displacements of the ends of a line per mm of the move.
struct EndRates {
  Vec3 start{0.0};
  Vec3 end{0.0};
};

struct SwingOptions {
  double step_s = 0.01;
  double watched_s = 2.0;              ///< after the stop
  std::function<bool()> is_cancelled;  ///< asked at each step; then `not_converged`
};

/// Joints at rest after the move, and after the stop, one frame a step.
struct SwungLine {
  std::vector<Vec3> rest;
  std::vector<std::vector<Vec3>> frames;
};

/// Displacements from rest, of the joint that moves most, at any time after the stop. `across` is
/// level and at right angles to the line of the ends (or to the clamps where the ends are above one
/// another).
struct SwingResult {
  RodReport report;  ///< `not_converged`: no shape along the way, or a step that did not settle
  double across_mm = 0.0;
  double in_plane_mm = 0.0;
  std::vector<SwungLine> lines;  ///< those that are watched
  /// How far the first carrier gets from its rest after the move, at any time from the start of the
  /// move, backwards (<= 0) and forwards: mm along its track, degrees of its arm, mm of its cord's
  /// length, mm of line over its sheave.
  double carrier_low = 0.0;
  double carrier_high = 0.0;
  bool converged() const { return report.converged(); }
};

/// `rest`: joints of the shape in which the line hangs after the move. The shape before it is
/// followed from there, so it is the one that hangs over to it without a snap.
SwingResult swing_after_move(const SpatialRodProblem& problem, std::span<const Vec3> rest,
                             const RapidMove& move, const EndRates& rates,
                             const SwingOptions& options = {});

/// Lines and what carries them, at rest before the move and after it.
struct SwingLine {
  MovingLine line;         ///< its joints before the move, its problem after it
  std::vector<Vec3> rest;  ///< joints after it
  EndRates rates;
  bool watched = true;
};
struct SwingCarrier {
  Carrier carrier;   ///< as after the move
  Vec3 before{0.0};  ///< its place before the move
  Vec3 rate{0.0};    ///< of what holds it, per mm of the move
};
struct SwingStart {
  std::vector<SwingLine> lines;
  std::vector<SwingCarrier> carriers;
};
SwingResult swing_from(const SwingStart& start, const RapidMove& move,
                       const SwingOptions& options = {});

}  // namespace bight::rod
