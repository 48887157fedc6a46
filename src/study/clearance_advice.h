#pragma once
// What opens a gap that is too small: the least move of one of the two things, and the least loss
// of travel.

#include <optional>
#include <span>
#include <string>

#include "study/mover.h"

namespace bight::study {

/// Two movers and how they move against each other. Two things that are made of pieces (a chain)
/// are a list of such pairs: all of them have to keep apart.
struct MoverPair {
  const Mover* a = nullptr;
  const Mover* b = nullptr;
  PairTravel travel;
};

/// Least straight move of one thing along a plan axis after which the pairs keep `wanted_mm` over
/// the whole travel.
struct PartMove {
  bool moves_a = false;  ///< else b
  Vec3 direction{0.0};
  double distance_mm = 0.0;  ///< to 0.1 mm, rounded up
};

/// Least cut of one end of one joint's travel after which the pairs keep `wanted_mm`.
struct TravelCut {
  std::size_t joint = 0;
  bool low_end = false;
  double new_limit = 0.0;  ///< to 0.1 mm, rounded to the safe side
  double lost_mm = 0.0;
};

/// Searches moves up to `reach_mm` of the thing that is easier to move (clamps, stock and
/// surroundings, which are never pushed down into what they stand on); nothing when none helps.
/// Each answer is proved by the clearance query. BIGHT_CHECKs that there is a pair.
std::optional<PartMove> least_move(std::span<const MoverPair> pairs, double wanted_mm,
                                   double reach_mm = 500.0);

/// Nothing when no single cut that leaves some travel helps.
std::optional<TravelCut> least_cut(const machine::Machine& machine,
                                   std::span<const MoverPair> pairs, double wanted_mm);

/// One sentence from both.
std::string clearance_advice(const Context& context, std::span<const MoverPair> pairs,
                             double wanted_mm);

}  // namespace bight::study
