#pragma once
// The rolling loop of a drag chain, ideal geometry: two straight runs joined by a half circle.
//
// One coordinate x along the joint, positive towards the side to which the loop opens (where the
// bend lies). The fixed run lies along x from the fixed pin x_F, the moving run 2 R above it from
// the moving pin x_M, the half circle of radius R on the +x side begins and ends at x_b:
//   L = (x_b - x_F) + pi R + (x_b - x_M),  x_b = (L - pi R + x_F + x_M) / 2
// so the bend moves half as far and half as fast as the moving end (derived; common practice).
// The same holds for chains on their side or standing, and whichever run is the upper one.

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "base/vec.h"

namespace bight::chain {

struct LoopProblem {
  double fixed_mm = 0.0;                      ///< x_F, pin of the first link at the fixed bracket
  std::array<double, 2> moving_mm{0.0, 0.0};  ///< x_M over the travel: lowest, highest
  double bend_radius_mm = 0.0;                ///< R of the pitch line (through the pins)
  double pitch_mm = 0.0;
  double outer_height_mm = 0.0;   ///< of a link, across the pitch line
  double end_straight_mm = 0.0;   ///< straight length wanted at each bracket
  std::optional<int> links;       ///< absent: the fewest that do
  std::optional<double> room_mm;  ///< what is free beyond the brackets, see loop_room_mm
};

enum class LoopStatus {
  ok,
  too_short,  ///< the given links do not reach: `spare_mm` is negative
  no_room,    ///< reaches, but needs more room than there is: see loop_room_mm
  invalid,    ///< a number is not finite or not above 0, or the travel is reversed
};

/// Where the loop is at one position of the moving end.
struct LoopPose {
  double bend_mm = 0.0;           ///< x_b, where both runs end and the half circle begins
  double front_mm = 0.0;          ///< x_b + R: foremost point of the pitch line
  double front_outside_mm = 0.0;  ///< x_b + R + half the outer height: foremost point of the chain
  double fixed_run_mm = 0.0;      ///< straight length at the fixed bracket, x_b - x_F
  double moving_run_mm = 0.0;     ///< straight length at the moving bracket, x_b - x_M
};

/// Meaningless when invalid. When too_short, the figures are those of the links given (a run is
/// negative somewhere).
struct LoopResult {
  LoopStatus status = LoopStatus::ok;
  std::string problem;                ///< one sentence with the missing amount, empty when ok
  int links = 0;                      ///< given, or the fewest
  int fewest_links = 0;               ///< ceil(shortest / pitch)
  std::optional<int> most_links;      ///< the most that keep within room_mm, when that is given
  double length_mm = 0.0;             ///< links times pitch, pin to pin along the pitch line
  double shortest_mm = 0.0;           ///< max |x_M - x_F| + pi R + 2 end straights
  double spare_mm = 0.0;              ///< length - shortest; negative: what is missing
  LoopPose at_low;                    ///< at moving_mm[0]
  LoopPose at_high;                   ///< at moving_mm[1], where the bend is farthest out
  double loop_room_pitch_mm = 0.0;    ///< pitch line's front at its farthest beyond moving_mm[1]
  double loop_room_mm = 0.0;          ///< the same for the outside of the links
  double room_beyond_fixed_mm = 0.0;  ///< outside's front at its farthest beyond the fixed pin
  double height_mm = 0.0;             ///< 2 R + outer height: over both runs
  double longest_straight_mm = 0.0;   ///< longest moving run: unsupported when that run is above
  double longest_fixed_run_mm = 0.0;
};

LoopResult size_loop(const LoopProblem& problem);

/// The loop of a chain `length_mm` long with its moving end at `moving_mm`.
LoopPose loop_at(const LoopProblem& problem, double length_mm, double moving_mm);

/// Point of the pitch line at arc length s from the fixed pin (0 <= s <= length): x as above,
/// y = 0 on the fixed run and 2 R on the moving run.
Vec2 point_on_loop(const LoopProblem& problem, double length_mm, double moving_mm, double s_mm);

/// A chain of straight links turns along a polygon, not a circle. Figures of the turn by 180 deg
/// with every joint at its limit (elementary geometry of the regular polygon).
struct LinkPolygon {
  double joints_radius_mm = 0.0;   ///< circle through the joints, p / (2 sin(limit/2))
  double middles_radius_mm = 0.0;  ///< circle through the middles of the links
  double run_distance_mm = 0.0;    ///< between the two straight runs
  double turn_length_mm = 0.0;     ///< of the links that turn
  double bulge_mm = 0.0;           ///< how far the turn reaches beyond its first and last joint
};

/// `joints` joints share the 180 deg, so each is at 180/joints deg; joints >= 2, pitch > 0.
LinkPolygon link_polygon(double pitch_mm, int joints);

/// Distances of the runs that count as 2 R: links turn along a polygon, whose runs lie up to this
/// far off 2 R, and brackets are slotted and measured to about 1 mm.
struct LevelHeights {
  double lowest_mm = 0.0;
  double highest_mm = 0.0;
};
LevelHeights level_heights(double bend_radius_mm, double pitch_mm);

/// The moving end mounted higher than 2 R over the fixed one (y above the pitch line of the fixed
/// run): under its weight the moving run tilts down from the bracket by `tilt` and the bend turns
/// by 180 deg - tilt (joints free of friction; derived).
struct RaisedLoop {
  bool possible = false;  ///< false: the bracket is lower than 2 R, or the length does not reach
  double tilt = 0.0;      ///< rad
  double moving_run_mm = 0.0;
  double arc_mm = 0.0;
  double fixed_run_mm = 0.0;
  double front_mm = 0.0;  ///< foremost point of the pitch line
};

/// Solves l_u sin(tilt) = height - R (1 + cos(tilt)) with the length closed by the fixed run.
RaisedLoop raised_loop(const LoopProblem& problem, double length_mm, double moving_mm,
                       double height_mm);

}  // namespace bight::chain
