#pragma once
// Check: drag chains whose brackets stand farther apart than 2 R. They have no ideal loop that
// rolls through its travel, so the clearance check has no pieces for them. Here all things are
// found that their links cannot come near to whatever they do, which is proved; the simulated
// shapes are held against the others, pose by pose of the chain's joint, at every value of the
// other joints. Two such chains are held against each other, at pairs of values where different
// joints work them.

#include <optional>
#include <vector>

#include "study/mover.h"
#include "study/raised_chain.h"

namespace bight::study {

struct RaisedChainCheck {
  std::vector<Finding> findings;
  std::vector<std::optional<ChainNearFigures>> near;  ///< one a chain, in order
};

/// `raised` are those of `simulated` (raised_chains()).
RaisedChainCheck check_raised_chains(const Context& context,
                                     const std::vector<std::optional<SimulatedChain>>& simulated,
                                     const std::vector<RaisedChain>& raised,
                                     const std::vector<Mover>& movers);

}  // namespace bight::study
