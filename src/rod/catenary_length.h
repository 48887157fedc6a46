#pragma once
// The catenary solved for its length: how long a limp line between two points may be for a given
// pull, or for a given lowest level.

namespace bight::rod {

/// Lengths at which the greatest tension (at the higher end) just equals a limit: between the two
/// it stays below. A short line pulls because it is taut, a long one because it is heavy.
/// `possible` is false when even the best length pulls harder; `least_pull_N` says how hard.
struct PullWindow {
  bool possible = false;
  double shortest_mm = 0.0;
  double longest_mm = 0.0;
  double least_pull_N = 0.0;
};
PullWindow lengths_for_pull(double dx_mm, double dz_mm, double mass_kg_m, double max_pull_N);

/// Length of a limp line whose lowest point lies exactly `start_mm` below its start and `end_mm`
/// below its end (both >= 0), ends dx apart: the longest line that stays above that level.
double length_for_lowest(double dx_mm, double start_mm, double end_mm);

}  // namespace bight::rod
