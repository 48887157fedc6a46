#pragma once
// Bodies for the clearance of a drag chain whose loop is not the ideal one (brackets farther apart
// than 2 R): pieces that hold it whatever it does, for a proof, and the links of one simulated
// shape, for a sample.

#include <vector>

#include "chain/chain_bodies.h"
#include "chain/chain_frame.h"
#include "machine/machine.h"
#include "plan/plan.h"
#include "shape/mesh.h"

namespace bight::chain {

/// Pieces as chain_bodies() gives them, their union valid at a pose containing the links there,
/// sides included (chain/reach_region.h). A tray bounds them where the runs lie one above the
/// other. Empty where the frame is refused for another reason than its height, or the chain has too
/// many links.
std::vector<ChainPiece> reach_bodies(const plan::Chain& chain, const machine::Machine& machine,
                                     const ChainFrame& frame);

/// The links along a pitch line in loop coordinates (chain/chain_shape.h), each chord a plate of
/// the outer height and width, lengthened so that neighbours meet on the outside of their turn. In
/// the frame of the plan with all joints at zero, moving with the fixed body.
shape::Mesh links_along(const plan::Chain& chain, const ChainFrame& frame,
                        const std::vector<Vec2>& pitch_line);

}  // namespace bight::chain
