#pragma once
// How a free run swings across its own vertical plane, and how far after a rapid move: lowest modes
// of the same discrete rod that gives its shape, then each mode's exact response to a move with
// constant acceleration. Small swings, no damping (real lines swing less), no motion within the
// plane. For a limp line of length L hanging free from a pivot omega_1 = 1.2024 sqrt(g / L) (D.
// Bernoulli 1732).

#include <vector>

#include "rod/spatial_rod.h"

namespace bight::rod {

struct SwingMode {
  double omega_rad_s = 0.0;
  double period_s = 0.0;
  std::vector<double> shape;    ///< sideways displacement of each joint, largest 1
  double share_of_start = 0.0;  ///< modal displacement per displacement of the start, against the
  double share_of_end = 0.0;    ///< slowly moved line; the same for the end
};

/// `report` is that of the shape; modes are empty unless it converged. Obstacles are not allowed
/// (BIGHT_CHECK): a line that lies on something does not swing freely.
struct SwingModes {
  RodReport report;
  std::vector<SwingMode> modes;
};

/// The `count` slowest modes of a line whose ends and tangents lie in one vertical plane (else the
/// modes are not across it, and the report says `invalid`). Second order in the links: at 200 links
/// the slowest frequency is right to about 1e-4.
SwingModes swing_modes(const SpatialRodProblem& problem, int count, int segments = 200);

/// A straight move of one end across the plane of the line: up to speed, on, and down to rest.
struct AcrossMove {
  double distance_mm = 0.0;
  double speed_mm_s = 0.0;
  double acceleration_mm_s2 = 0.0;
  bool moves_start = false;  ///< else the end
};

/// Upper bound of the sideways swing left after the move, mm, at the joint that swings most: sum of
/// the modes' amplitudes; and the same over all times (during the move too).
struct SwingAmplitude {
  double after_mm = 0.0;
  double greatest_mm = 0.0;
};
SwingAmplitude swing_after(const SwingModes& modes, const AcrossMove& move);

}  // namespace bight::rod
