#pragma once
// How thick a bundle of cables and hoses is: the smallest circle found around circles of any
// diameters. For whoever drills a hole, chooses a sleeve or hangs a kit of lines from a hook.
//
// Smallest circles around circles are a hard global problem (Graham, Lubachevsky, Nurmela,
// Ostergard, Discrete Mathematics 181, 1998): the answer is a feasible packing, the best of many
// starts, with a proved lower bound beside it.

#include <cstddef>
#include <span>
#include <vector>

#include "base/vec.h"

namespace bight::line {

enum class BundleStatus {
  ok,
  invalid,   ///< a diameter is not above 0, not finite or above k_thickest_line_mm
  too_many,  ///< more than k_most_bundled lines
};

/// mm. No line is thicker; beyond it a number is a slip, and its square no longer safe to sum.
inline constexpr double k_thickest_line_mm = 1e6;
/// Work grows with the square of the count; 200 lines take half a second.
inline constexpr std::size_t k_most_bundled = 200;

struct BundleOptions {
  /// Local searches from different arrangements, each about 0.1 ms at 8 lines and 0.4 ms at 20.
  /// 0: as many as the count of lines is known to need (a feasible bundle comes from any number).
  int starts = 0;
};

/// Invariants when ok: |centre_i| + d_i/2 <= diameter/2 and no two circles overlap, both to 1e-12
/// of the diameter; lower_bound_mm <= diameter_mm.
struct BundleResult {
  BundleStatus status = BundleStatus::ok;
  double diameter_mm = 0.0;  ///< of the enclosing circle, 0 for no lines
  /// No bundle of these lines is thinner: the two thickest side by side, or the sum of the areas.
  double lower_bound_mm = 0.0;
  std::vector<Vec2> centres_mm;  ///< in the order of the input, enclosing circle about the origin
  int starts = 0;                ///< local searches done
};

/// Packs circles of the given diameters. Deterministic: the same input gives the same bits.
BundleResult pack_bundle(std::span<const double> diameters_mm, const BundleOptions& options = {});

}  // namespace bight::line
