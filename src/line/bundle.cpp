#include "line/bundle.h"

#include <algorithm>
#include <cmath>

#include "line/circle_packing.h"

namespace bight::line {
namespace {

/// Starts after which 1 to 20 equal lines reached the best known packing with a wide margin;
/// unequal ones have more arrangements.
int usual_starts(std::size_t count, bool equal) {
  if (count <= 4) return 8;
  if (count <= 8 && !equal) return 80;
  if (count <= 8) return 32;
  if (count <= 12) return 100;
  if (count <= 24) return equal ? 200 : 600;
  return static_cast<int>(std::max<std::size_t>(16, 12000 / count));
}

double lower_bound(std::span<const double> diameters) {
  double area = 0.0;
  double thickest = 0.0;
  double second = 0.0;
  for (const double d : diameters) {
    area += d * d;
    if (d > thickest) {
      second = thickest;
      thickest = d;
    } else {
      second = std::max(second, d);
    }
  }
  return std::max(thickest + second, std::sqrt(area));
}

}  // namespace

BundleResult pack_bundle(std::span<const double> diameters_mm, const BundleOptions& options) {
  BundleResult result;
  if (!std::all_of(diameters_mm.begin(), diameters_mm.end(),
                   [](double d) { return d > 0.0 && d <= k_thickest_line_mm; })) {
    result.status = BundleStatus::invalid;
    return result;
  }
  const std::size_t count = diameters_mm.size();
  if (count == 0) return result;
  if (count > k_most_bundled) {
    result.status = BundleStatus::too_many;
    return result;
  }
  result.lower_bound_mm = lower_bound(diameters_mm);
  if (count <= 2) {
    result.diameter_mm = count == 1 ? diameters_mm[0] : diameters_mm[0] + diameters_mm[1];
    result.centres_mm.emplace_back(0.5 * (diameters_mm[0] - result.diameter_mm), 0.0);
    if (count == 2) result.centres_mm.emplace_back(0.5 * diameters_mm[0], 0.0);
    return result;
  }
  const auto [least, most] = std::minmax_element(diameters_mm.begin(), diameters_mm.end());
  const bool equal = *most <= *least * (1.0 + 1e-9);
  PackingProblem problem;
  for (const double a : diameters_mm) {
    problem.wall_mm.push_back(0.5 * a);
    for (const double b : diameters_mm) problem.apart_mm.push_back(0.5 * (a + b));
  }
  const PackingResult packed = pack_circles(
      problem, {.starts = options.starts > 0 ? options.starts : usual_starts(count, equal),
                // Nothing is better than the bound: stop when it is met.
                .enough = 0.5 * result.lower_bound_mm * (1.0 + 1e-13),
                .first = {}});
  result.diameter_mm = 2.0 * packed.s;
  result.centres_mm = packed.centres_mm;
  result.starts = packed.starts;
  return result;
}

}  // namespace bight::line
