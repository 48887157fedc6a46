#pragma once
// What opens a gap that is too small: the least move of one of the two parts, and the least loss of
// travel.

#include <optional>
#include <string>

#include "study/mover.h"

namespace bight::study {

/// Least straight move of one mover along a plan axis after which the pair keeps `wanted_mm` over
/// the whole travel.
struct PartMove {
  Vec3 direction{0.0};
  double distance_mm = 0.0;  ///< to 0.1 mm, rounded up
};

/// Least cut of one end of one joint's travel after which the pair keeps `wanted_mm`.
struct TravelCut {
  std::size_t joint = 0;
  bool low_end = false;
  double new_limit = 0.0;  ///< to 0.1 mm, rounded to the safe side
  double lost_mm = 0.0;
};

/// Searches moves of `b` up to `reach_mm`; nothing when none of the six directions helps. Each
/// answer is proved by the clearance query.
std::optional<PartMove> least_move(const Mover& a, const Mover& b, const PairTravel& pair,
                                   double wanted_mm, double reach_mm = 500.0);

/// Nothing when no single cut that leaves some travel helps.
std::optional<TravelCut> least_cut(const Mover& a, const Mover& b, const PairTravel& pair,
                                   double wanted_mm);

/// One sentence from both.
std::string clearance_advice(const Context& context, const Mover& a, const Mover& b,
                             const PairTravel& pair, double wanted_mm);

}  // namespace bight::study
