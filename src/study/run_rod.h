#pragma once
// The lines of a free run as rods, one a kind, and how far each bends, droops and pulls over the
// travel: what the checks of a run and the window's figures stand on.

#include <cstddef>
#include <string>
#include <vector>

#include "study/free_run.h"
#include "study/free_run_shapes.h"
#include "study/line_stiffness.h"

namespace bight::study {

/// One kind of line (article) of a run; lines of one article hang alike.
struct RunRod {
  const plan::Line* line = nullptr;  ///< the first of its kind
  const plan::Article* article = nullptr;
  std::size_t lines = 1;  ///< of this kind
  LineStiffness stiffness;
  HangingRod rod;
  double allowed_radius_mm = 0.0;  ///< of the centre line
  std::string allowed_because;
};
std::vector<RunRod> rods_of(const Context& context, const FreeRun& run, double length_mm);

/// Worst values found. Empty poses: no pose converged.
struct RodExtremes {
  RefinedShape tightest;  ///< measure: smallest radius, mm
  RefinedShape lowest;    ///< measure: Z, mm
  double pull_start_N = 0.0;
  double pull_end_N = 0.0;
  std::vector<double> pull_start_pose;
  std::vector<double> pull_end_pose;
  double greatest_pull_N = 0.0;
  std::vector<double> greatest_pull_pose;
  double moment_start_Nmm = 0.0;
  double moment_end_Nmm = 0.0;
};
RodExtremes rod_extremes(const Context& context, const FreeRunShapes& shapes);

/// "estimated at 0.024 N m^2, between 0.008 and 0.072".
std::string stiffness_text(const LineStiffness& stiffness);

/// A stiffness to two digits: it is never known better.
std::string two_digits(double value);

}  // namespace bight::study
