#pragma once
// Where the links of a drag chain can be at all, whatever its weight, its motion or friction do
// with it: for chains whose loop is not the ideal one (brackets farther apart than 2 R).
//
// Model: n rigid links of one pitch in the plane of the loop. Each joint, those at the brackets
// included, turns by at most `fold` one way (2 asin(pitch / 2 R): pins on R; middles of links on R
// turn less) and `back` the other; the brackets hold the directions 0 and pi, told with the turns
// between them. Two bounds hold for every such chain:
//   - its pins lie in the ellipse |x - P| + |x - Q| <= L;
//   - in a direction u the farthest pin is a bracket's, or the links on both sides of it turn
//     through a right angle to u there. From P it is then no farther than the sum of
//     pitch x (greatest cosine that its distance along the chain from P and from the turn leaves),
//     and likewise from Q; the smaller counts, for the worst number of links on either side.
// For a turn of half a circle and no back bend this is the front of the ideal loop,
// (L + x_M) / 2 - (pi / 2 - 1) R, and no link outside the strip between the runs.
//
// Coordinates of the loop (chain/loop.h): fixed pin at the origin, x to where it opens, y to the
// moving run. Lengths mm.

#include <array>
#include <optional>
#include <vector>

#include "base/vec.h"

namespace bight::chain {

struct ReachProblem {
  int links = 0;
  double pitch_mm = 0.0;
  double bend_radius_mm = 0.0;
  std::optional<double> back_radius_mm;       ///< absent: joints do not turn back at all
  double height_mm = 0.0;                     ///< of the moving pin, the same at every pose
  std::array<double, 2> moving_mm{0.0, 0.0};  ///< least and greatest x of the moving pin
  double half_thickness_mm = 0.0;             ///< of a link about the line between its pins
  std::optional<double> least_y_mm;           ///< what the pitch line lies on, or under
  std::optional<double> greatest_y_mm;        ///< in the same way
};

/// A convex outline, counter-clockwise, that stands at outline + rate x (x_M, 0) while x_M is in
/// the interval. rate: 0, 1/2 or 1, with the fixed bracket, the bend or the moving bracket.
struct ReachPiece {
  std::vector<Vec2> outline;
  double rate = 0.0;
  std::array<double, 2> moving_mm{0.0, 0.0};
};

/// Links. Longer chains are not bounded: the time grows with their number.
inline constexpr int k_reach_links_limit = 5000;

/// At any x_M the union of the pieces whose interval holds it contains the chain. Empty: the chain
/// has too many links, or a dimension is not above 0.
std::vector<ReachPiece> reach_pieces(const ReachProblem& problem);

}  // namespace bight::chain
