#pragma once
// From the parts of a plan to solids in place: primitives are made, mesh files are read, both are
// turned and put where they belong, and looked over for health.

#include <memory>
#include <string>
#include <vector>

#include "base/diagnostic.h"
#include "machine/machine.h"

namespace bight::machine {

/// One solid a part, in their order: null for a part that is not present, and for one that cannot
/// be built, where an error says why. What is wrong with a file is said once, at the first part
/// that names it; notes about its health are not. Files and shapes are worked on in parallel;
/// diagnostics come in the order of the parts, at their place in the plan, whatever the number of
/// threads (0: as many as the machine has).
std::vector<std::shared_ptr<const shape::Solid>> load_parts(const std::vector<plan::Part>& parts,
                                                            const std::string& plan_file,
                                                            MeshCache& cache,
                                                            Diagnostics& diagnostics,
                                                            unsigned threads = 0);

}  // namespace bight::machine
