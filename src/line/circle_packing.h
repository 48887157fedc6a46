#pragma once
// Circles without overlap in a circle or a rectangle, as tight or as loose as can be found: the
// common core of bundles (the smallest circle around lines) and of the cross-section of chains.
//
// One measure s is minimised over the centres: penalty method with multipliers (augmented
// Lagrangian, Nocedal and Wright ch. 17) from many starts, the best one sharpened by Newton steps
// on the contacts that bear force. A global optimum is not proved; every result is feasible as
// measured.

#include <cstdint>
#include <optional>
#include <vector>

#include "base/vec.h"

namespace bight::line {

enum class PackingGoal {
  smallest_circle,  ///< s = radius of a circle about the origin that holds all
  most_room,        ///< s = -(gap added to every wanted distance) in a rectangle of given size
  least_width,      ///< s = width of a rectangle of given height
};

struct PackingProblem {
  PackingGoal goal = PackingGoal::smallest_circle;
  Vec2 size_mm{0.0};             ///< of the rectangle, lower left corner at the origin
  std::vector<double> wall_mm;   ///< wanted distance from each centre to every wall
  std::vector<double> apart_mm;  ///< count x count, row-major, symmetric: wanted between centres
  std::vector<std::optional<Vec2>> fixed_mm;  ///< given centres; empty: all are free
};

struct PackingOptions {
  int starts = 16;
  std::optional<double> enough;  ///< stop starting anew when s <= enough (least s otherwise)
  std::vector<std::vector<Vec2>> first;  ///< starts to try before any others
};

struct PackingResult {
  double s = 0.0;  ///< as reached by the centres; most_room: wanted distances hold when s <= 0
  double overlap_mm = 0.0;  ///< largest violation that is left (0 to rounding)
  std::vector<Vec2> centres_mm;
  int starts = 0;
};

/// Needs at least one circle, distances finite and not negative, at least one wall distance above
/// 0.
PackingResult pack_circles(const PackingProblem& problem, const PackingOptions& options);

}  // namespace bight::line
