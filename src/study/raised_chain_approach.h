#pragma once
// How near the links of raised chains come to other things and to each other: proved to be far
// enough whatever the links do, or sampled with their simulated shapes at values of their joints,
// closer where the wanted clearance could be lost between two of them. For the check of raised
// chains.

#include <cstddef>
#include <limits>
#include <string>
#include <vector>

#include "study/clearance_advice.h"
#include "study/mover.h"
#include "study/raised_chain.h"

namespace bight::study {

/// A raised chain and what it could come near to: a mover, or another raised chain.
struct ChainMeeting {
  const RaisedChain* chain = nullptr;
  const Mover* mover = nullptr;
  const RaisedChain* other = nullptr;

  const Mover& thing() const { return other ? other->self() : *mover; }
  bool one_joint() const { return !other || other->joint() == chain->joint(); }
  bool concerns(const RaisedChain& one) const { return chain == &one || other == &one; }
  /// The shapes of its chains are known at all of their simulated poses.
  bool known_all_over() const {
    return chain->known_all_over() && (!other || other->known_all_over());
  }
  /// What a person calls the other one of the two.
  const std::string& met_by(const RaisedChain& one) const {
    return (other == &one ? chain->self() : thing()).owner;
  }
};

/// Nearest approach of the simulated links.
struct ChainApproach {
  ChainMeeting meeting;
  double wanted_mm = 0.0;
  bool proved = false;  ///< clear, whatever the chains do: then the rest is not set
  double distance_mm = std::numeric_limits<double>::infinity();
  std::vector<double> pose;
  std::size_t poses = 0;  ///< at which it was held against the thing
  double step_mm = 0.0;   ///< largest between neighbours
  bool settled = true;    ///< no doubt is left between them
};

/// Where the links can be against the thing, or against where its links can be.
std::vector<MoverPair> pairs_anywhere(const Context& context, const ChainMeeting& meeting);

/// It touches, or is nearer than wanted.
bool too_near(const ChainApproach& approach);

/// Of each of the chains to each mover and to each chain after it, but for those that touch by
/// design. Incomplete when cancelled.
std::vector<ChainApproach> approaches_of(const Context& context,
                                         const std::vector<RaisedChain>& chains,
                                         const std::vector<Mover>& movers);

}  // namespace bight::study
