#include "scene/grid.h"

#include <algorithm>
#include <cmath>

namespace bight::scene {

double grid_step(LengthUnit unit, double mm_per_px, double least_px) {
  const double least = mm_per_px * least_px;
  if (!(least > 0.0) || !std::isfinite(least)) return k_mm_per_inch;
  if (unit == LengthUnit::inch) {
    const double inches = least / k_mm_per_inch;
    double step = 1.0;
    if (inches <= 1.0) {
      while (0.5 * step >= inches) step *= 0.5;
    } else {
      for (const double next : {1.0, 2.0, 6.0, 12.0}) {
        step = next;
        if (step >= inches) break;
      }
      while (step < inches) step *= 2.0;
    }
    return step * k_mm_per_inch;
  }
  const double decade = std::pow(10.0, std::floor(std::log10(least)));
  for (const double factor : {1.0, 2.0, 5.0}) {
    if (factor * decade >= least) return factor * decade;
  }
  return 10.0 * decade;
}

std::vector<double> grid_values(double from, double to, double step) {
  std::vector<double> values;
  if (!(step > 0.0) || !(from <= to)) return values;
  constexpr double k_rounding = 1e-9;  // of a step: a value on the border counts
  const double first = std::ceil(from / step - k_rounding);
  const double last = std::floor(to / step + k_rounding);
  for (double i = first; i <= last && values.size() < k_grid_lines; i += 1.0) {
    values.push_back(i * step);
  }
  return values;
}

std::string grid_text(double mm, double step_mm, LengthUnit unit) {
  const double scale = unit == LengthUnit::inch ? 1.0 / k_mm_per_inch : 1.0;
  const double step = step_mm * scale;
  int decimals = 0;
  constexpr int k_most = 6;
  constexpr double k_rounding = 1e-6;
  for (double s = step; decimals < k_most && std::abs(s - std::round(s)) > k_rounding; s *= 10.0) {
    ++decimals;
  }
  return fixed(mm * scale, decimals);
}

}  // namespace bight::scene
