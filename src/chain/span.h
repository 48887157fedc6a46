#pragma once
// How far a chain's moving run may stretch without support, and the forces in it.

#include <optional>
#include <span>
#include <string>

#include "base/vec.h"

namespace bight::chain {

enum class SpanStatus {
  interpolated,  ///< between two pairs of the maker
  lightest,      ///< lighter than the lightest pair: that pair's span (more is not claimed)
  too_heavy,     ///< heavier than the heaviest pair: no unsupported span is known
  no_data,       ///< the maker's pairs are not given
  invalid,       ///< pairs not rising in load or not falling in span, or a number not finite
};

struct SpanLimit {
  SpanStatus status = SpanStatus::no_data;
  std::optional<double> span_mm;  ///< set for interpolated and lightest
  std::string because;            ///< one sentence with the pairs used
};

/// Allowed unsupported length at a load, linear between the maker's pairs (x: kg/m of fill,
/// y: mm), whose loads rise strictly and whose spans do not rise.
SpanLimit allowed_span(std::span<const Vec2> load_span, double fill_kg_per_m);

/// Forces of a moving run that lies level over the fixed one, links with one-way joint stops
/// (derived; a chain of rigid links over a floor tends to these as its pitch goes to 0).
struct RunForces {
  double weight_N_per_mm = 0.0;     ///< chain and fill
  double pull_N = 0.0;              ///< in the moving run: w R
  double end_load_N = 0.0;          ///< on each end of the run: w l / 2
  double sagging_moment_Nmm = 0.0;  ///< greatest, mid-run: w l^2 / 8
  double closing_moment_Nmm = 0.0;  ///< greatest, in the bend
  double floor_force_N = 0.0;       ///< where the bend leaves the floor: w l / 2 + pi R w
};

/// `mass_kg_per_m` is chain plus fill, `run_mm` the straight moving run.
RunForces run_forces(double mass_kg_per_m, double run_mm, double bend_radius_mm);

}  // namespace bight::chain
