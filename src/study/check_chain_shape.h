#pragma once
// Check: the shape that each drag chain takes under its own weight, over the whole travel of its
// joint. Clearances are proved for the ideal loop; this check says where the simulated one leaves
// it.

#include <optional>
#include <vector>

#include "study/study.h"

namespace bight::study {

struct Context;

struct ChainShapeCheck {
  std::vector<Finding> findings;
  std::vector<std::optional<ChainShapeFigures>> shapes;  ///< one a chain figure, in order
};

/// `chains` are the figures of check_chains: the mass of the fill and the loop's size are theirs.
ChainShapeCheck check_chain_shapes(const Context& context, const std::vector<ChainFigures>& chains);

}  // namespace bight::study
