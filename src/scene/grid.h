#pragma once
// Which lines a true-scale grid or ruler has at a zoom.

#include <string>
#include <vector>

#include "base/units.h"

namespace bight::scene {

/// Step of a grid in mm: 1, 2 or 5 x 10^n mm; inches go by 1/2^n, 1, 2, 6 and 12 x 2^n inches. The
/// smallest that spans at least `least_px` pixels of `mm_per_px`.
double grid_step(LengthUnit unit, double mm_per_px, double least_px);

/// Multiples of `step` within [from, to], rising; at most `k_grid_lines`.
inline constexpr std::size_t k_grid_lines = 400;
std::vector<double> grid_values(double from, double to, double step);

/// The number at a grid line, without its unit: "250", "0.5".
std::string grid_text(double mm, double step_mm, LengthUnit unit);

}  // namespace bight::scene
