#pragma once
// One answer for one line in a vertical plane, refined until it can be trusted: the entry for
// callers that want figures rather than speed (clamps, bend radius, lowest point). Callers with
// many poses keep a PlanarRodSolver or a SpatialRodSolver.

#include <vector>

#include "rod/planar_rod.h"
#include "rod/rod_status.h"

namespace bight::rod {

enum class ShapeChoice {
  first,  ///< the first stable shape found, from the catenary if possible: the one that hangs
  lowest  ///< the stable shape of lowest energy among many starts
};

struct RefineOptions {
  RodOptions newton;
  ShapeChoice shape = ShapeChoice::first;
  /// Halve the links until the smallest radius (relative) and the lowest point (over the length)
  /// change by at most this from one to the next.
  double change = 0.005;
  int first_segments = 64;
  int most_segments = 2048;
};

/// `figures` and `points` mean something only when converged() is true. Figures are extrapolated
/// from the last two discretisations (Richardson; the rod is of second order), so their error is
/// well below the changes that are given.
struct RodResult {
  RodReport report;
  bool refined = false;        ///< the changes below are within RefineOptions::change
  int segments = 0;            ///< of the finer of the last two
  double radius_change = 0.0;  ///< relative
  double lowest_change = 0.0;  ///< over the length
  PlanarRodFigures figures;
  Vec2 tip{0.0};             ///< the line's end, extrapolated too
  std::vector<Vec2> points;  ///< of the finer one
  bool converged() const { return report.converged() && refined; }
};

/// What the figures of two discretisations, the second twice as fine, tend to (Richardson).
PlanarRodFigures extrapolated(const PlanarRodFigures& coarse, const PlanarRodFigures& fine);

/// Relative change of the smallest radius between two discretisations; 0 for a straight line.
double radius_change(const PlanarRodFigures& coarse, const PlanarRodFigures& fine,
                     double length_mm);

RodResult solve_rod(const PlanarRodProblem& problem, const RefineOptions& options = {});

}  // namespace bight::rod
