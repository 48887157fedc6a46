#pragma once
// Check: the shape that each drag chain takes under its own weight, over the whole travel of its
// joint. Clearances are proved for the ideal loop; this check says where the simulated one leaves
// it.

#include <optional>
#include <vector>

#include "study/simulated_chain.h"

namespace bight::study {

struct ChainShapeCheck {
  std::vector<Finding> findings;
  std::vector<std::optional<ChainShapeFigures>> shapes;  ///< one a chain figure, in order
};

ChainShapeCheck check_chain_shapes(const Context& context,
                                   const std::vector<std::optional<SimulatedChain>>& simulated);

}  // namespace bight::study
