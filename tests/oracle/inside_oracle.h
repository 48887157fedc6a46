#pragma once
// Containment by another route than the library: the winding number as a sum of solid angles.

#include <vector>

#include "shape/mesh.h"

namespace bight::oracle {

/// Times that the mesh winds around the point (Van Oosterom and Strackee 1983, eq. 8); an integer
/// for a closed mesh and a point off its surface.
double winding_number(const shape::Mesh& mesh, const Vec3& p);

/// One vertex of each connected piece of the mesh.
std::vector<Vec3> piece_points(const shape::Mesh& mesh);

/// Every edge is shared by exactly two triangles.
bool is_closed(const shape::Mesh& mesh);

}  // namespace bight::oracle
