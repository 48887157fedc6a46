#pragma once
// Is a closed outline a simple polygon? For the outlines of profiles.

#include <cstddef>
#include <optional>
#include <vector>

#include "base/vec.h"

namespace bight::plan {

/// Index of the first edge (corner i to corner i + 1, closed) that has no length, meets an edge
/// that is not its neighbour, or folds back onto its neighbour; nothing when the polygon is simple.
/// Signs of areas are taken in doubles, without tolerance: an edge that passes another at less than
/// rounding (1e-11 mm in a metre) may be told either way. Quadratic in the number of corners.
std::optional<std::size_t> first_bad_edge(const std::vector<Vec2>& outline);

}  // namespace bight::plan
