#pragma once
// Meshes as bodies that a line may lie on or lean against: the distance to a triangle mesh in the
// form that rods ask for (rod/contact.h). For checks that lay a line over a part of the machine.

#include <memory>

#include "rod/contact.h"
#include "shape/solid.h"

namespace bight::study {

/// Signed distance to the surface of `solid`, negative inside when it is closed; an open mesh is a
/// thin sheet with two outsides. The gradient points from the nearest point of the surface, the
/// curvature is that of the nearest face, edge or corner. Exact to rounding for the triangles that
/// are given: round parts have facets (shape/primitive.h says how far they stand out).
std::shared_ptr<const rod::ContactSurface> mesh_surface(std::shared_ptr<const shape::Solid> solid);

}  // namespace bight::study
