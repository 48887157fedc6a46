#pragma once
// The smallest bend radius that a cable or hose allows, moving or fixed, and where that figure is
// from.
//
// Data sheets and standards state the INNER radius: of the surface that faces the centre of the
// bend. Rods, routes and chain pitch lines are centre lines; a line along one may bend there to
// inner + d/2 at the least. Both are given so that nobody adds the half diameter twice or not at
// all.

#include <optional>
#include <string>

#include "plan/plan.h"

namespace bight::line {

enum class BendUse { moving, fixed };

/// Where a limit comes from, in falling order of authority.
enum class BendSource { maker_radius, maker_multiple, default_multiple, none };

/// Both radii are NaN, so that every comparison fails, when `source` is none (bad input).
struct BendLimit {
  double inner_mm = 0.0;        ///< smallest radius of the inner surface
  double centre_line_mm = 0.0;  ///< smallest radius of the centre line: inner + d/2
  BendSource source = BendSource::default_multiple;
  std::string because;  ///< "given", "7.5 x 8.4 mm given", "10 x 8.4 mm, DGUV Information ..."
};

/// Pure numbers of the question, for use without a plan.
struct BendLimitProblem {
  BendUse use = BendUse::moving;
  double diameter_mm = 0.0;
  std::optional<double> radius_mm;  ///< the maker's inner radius
  std::optional<double> multiple;   ///< the maker's radius as a multiple of the diameter
  double default_multiple = 10.0;   ///< when the maker says neither
};

/// Multiples without maker's data, DGUV Information 203-079, 5.5.
inline constexpr double k_dguv_multiple_moving = 10.0;
inline constexpr double k_dguv_multiple_fixed = 5.0;

BendLimit bend_limit(const BendLimitProblem& problem);

/// The limit of an article of the plan under its rules.
BendLimit bend_limit(const plan::Article& article, BendUse use, const plan::Rules& rules);

/// Kinds of forced guiding that the standards tell apart.
enum class Guiding { drum, roller, festoon, chain, fixed, free_movement };

/// Multiple of the outside diameter by IEC 60204-1:2016, Table 8 (cables under forced guiding);
/// nothing for uses that the table does not cover.
std::optional<double> iec_60204_1_multiple(Guiding guiding, double diameter_mm);

/// Multiple of the outside diameter by DIN VDE 0298-3 (flexible cables).
double din_vde_0298_3_multiple(Guiding guiding, double diameter_mm);

/// Inner radius of a line of diameter d that lies in a chain whose pitch line bends to R: its
/// centre may lie `offset_mm` from the pitch line, positive towards the inside of the bend.
inline double inner_radius_in_chain(double pitch_line_radius_mm, double diameter_mm,
                                    double offset_mm = 0.0) {
  return pitch_line_radius_mm - offset_mm - 0.5 * diameter_mm;
}

}  // namespace bight::line
