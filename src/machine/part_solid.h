#pragma once
// One part of a plan as a solid in its place.

#include <memory>

#include "base/diagnostic.h"
#include "plan/plan.h"
#include "shape/solid.h"

namespace bight::machine {

/// Makes the part's shape about its origin, turns it there and moves it to `at`, in the frame of
/// the plan with all joints at zero. `mesh` is what the part's file holds, in mm with Z up; null
/// for a primitive, and for a file that could not be read, which gives null without a further word.
/// An outline that is not simple and a part that reaches further than a kilometre from the origin
/// (a wrong unit) are errors at the part's place and give null.
std::shared_ptr<const shape::Solid> make_part_solid(const plan::Part& part, const shape::Mesh* mesh,
                                                    Diagnostics& diagnostics);

}  // namespace bight::machine
