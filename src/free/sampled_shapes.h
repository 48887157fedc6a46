#pragma once
// Shapes of a line with stiffness over the whole travel, by solving the rod at a grid of poses:
// what the closed forms of the window cannot tell (bends at clamps and in loops, droop of a stiff
// line). Sampled, not proved: the result says at how many poses and how far apart.

#include <cstddef>
#include <optional>

#include "base/progress.h"
#include "free/anchor_pair.h"
#include "rod/planar_rod.h"
#include "rod/spatial_rod.h"

namespace bight::free {

struct StiffLine {
  double length_mm = 0.0;
  double mass_kg_m = 0.0;
  double stiffness_Nm2 = 0.0;  ///< EI > 0
};

struct SampleOptions {
  int steps_per_joint = 12;  ///< of each joint that moves an anchor: steps + 1 values
  int segments = 64;
  unsigned threads = 0;  ///< 0: the machine's; the result does not depend on it
};

/// An extreme and where it was found.
struct SampledExtreme {
  double value = 0.0;
  Pose pose;
};

/// Extremes over the poses that were solved. They are a verdict on the travel only when `failed` is
/// 0 and it was not cancelled; both extremes are empty when no pose was solved.
struct SampledShapes {
  std::size_t poses = 0;      ///< asked for
  std::size_t failed = 0;     ///< of them without a stable shape, `too_short` included
  std::size_t too_short = 0;  ///< of them the line does not reach
  std::optional<Pose> first_failed;
  double largest_step_mm = 0.0;  ///< greatest motion of an anchor between neighbouring poses
  bool planar = false;           ///< ends pinned or clamped upright: solved in the vertical plane
  bool cancelled = false;
  std::optional<SampledExtreme> smallest_radius;  ///< mm
  std::optional<SampledExtreme> lowest;           ///< Z, mm
  std::optional<SampledExtreme> greatest_pull;    ///< N, tension
};

SampledShapes sample_shapes(const AnchorPair& anchors, const StiffLine& line,
                            const SampleOptions& options = {}, Progress* progress = nullptr);

/// True when both ends are pinned or clamped straight up or down: the shape then depends on the
/// horizontal distance and the heights only.
bool hangs_in_plane(const AnchorPair& anchors);

/// The rod's problem at one pose. The planar one needs hangs_in_plane().
rod::PlanarRodProblem planar_problem(const AnchorPair& anchors, const Pose& pose,
                                     const StiffLine& line);
rod::SpatialRodProblem spatial_problem(const AnchorPair& anchors, const Pose& pose,
                                       const StiffLine& line);

}  // namespace bight::free
