#pragma once
// The link of a drag chain as a mesh, from the dimensions in the plan.

#include "plan/plan.h"
#include "shape/mesh.h"

namespace bight::picture {

/// Two side plates with rounded corners joined by a bar on either side, X from pin to pin (the
/// middle between them is the origin), Z towards the inside of the bend, Y across.
shape::Mesh make_link_mesh(const plan::Chain& chain);

/// The end bracket: a foot as wide as the chain with a plate for the first pin at the origin,
/// reaching along -X.
shape::Mesh make_bracket_mesh(const plan::Chain& chain);

}  // namespace bight::picture
