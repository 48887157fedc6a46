#pragma once
// From the parts of a plan to solids in place: primitives are made, mesh files are read, both are
// turned and put where they belong, and looked over for health.

#include <memory>
#include <string>
#include <vector>

#include "base/diagnostic.h"
#include "machine/machine.h"

namespace bight::machine {

struct LoadedPart {
  std::shared_ptr<const shape::Solid> solid;    ///< null: not present, or it cannot be built
  std::shared_ptr<const shape::Health> health;  ///< of its mesh file; null for a primitive
};

/// One entry a part, in their order; where a part cannot be built an error says why. What is wrong
/// with reading a file is said once, at the first part that names it; what is wrong with a surface
/// is in the health. Files and shapes are worked on in parallel; diagnostics come in the order of
/// the parts, at their place in the plan, whatever the number of threads (0: as many as the machine
/// has).
std::vector<LoadedPart> load_parts(const std::vector<plan::Part>& parts,
                                   const std::string& plan_file, MeshCache& cache,
                                   Diagnostics& diagnostics, unsigned threads = 0);

}  // namespace bight::machine
