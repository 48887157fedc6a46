#pragma once
// A drag chain as rigid pieces for the clearance proof: the union of the pieces that are valid at a
// pose contains the chain at that pose.
//
// The bend is one rigid body that moves at half the moving bracket's speed. A straight run changes
// its length with the pose: over an interval [q0, q1] of the joint it is the part that is always
// there, fixed to its bracket, and a tail as long as the run can grow, carried by the bend.
// Together they are the run exactly, except where a run is shorter than the tail: there the tail
// reaches back past the bracket by at most ChainBodyOptions::over_reach_mm. Intervals double in
// length away from the shortest run, so a few cover the whole travel.

#include <array>
#include <string>
#include <vector>

#include "chain/loop.h"
#include "machine/machine.h"
#include "plan/plan.h"
#include "shape/mesh.h"

namespace bight::chain {

enum class ChainStatus {
  ok,
  not_one_joint,     ///< the brackets' bodies differ by no joint or by several
  opens_astray,      ///< `opens` is not along the joint
  bracket_too_low,   ///< runs nearer than 2 R: no chain bends so
  bracket_too_high,  ///< runs farther apart than 2 R: a loop that tilts or hangs, not ideal
                     ///< geometry
  too_short,         ///< the links do not reach over the travel
  invalid,           ///< a number is not finite or not above 0
};

/// A chain in place: loop coordinates and how they lie in the plan's frame.
struct ChainFrame {
  ChainStatus status = ChainStatus::ok;
  std::string problem;     ///< one sentence with the amount, empty when ok
  std::size_t joint = 0;   ///< index of the joint that works the chain
  Vec3 along{0.0};         ///< x of the loop: unit vector to which it opens
  Vec3 normal{0.0};        ///< y of the loop: from the fixed run to the moving run
  Vec3 across{0.0};        ///< along x normal: the width
  double rate = 0.0;       ///< mm of x_M per unit of the joint, signed
  double offset_mm = 0.0;  ///< x_M with all joints at zero (x_F = 0)
  double height_mm = 0.0;  ///< distance of the runs' pitch lines as mounted
  LoopProblem loop;
  LoopResult size;  ///< set when status is ok or too_short
};

/// Reads a chain's frame and sizes its loop over the joint's travel.
ChainFrame chain_frame(const plan::Chain& chain, const machine::Machine& machine);

enum class ChainPart { fixed_run, bend, moving_run };

/// A closed mesh in the frame of the plan with all joints at zero (where a tail or bend would be at
/// zero), its motion per joint (machine::Body), and the values of the chain's joint for which it
/// counts.
struct ChainPiece {
  std::string name;  ///< "<chain> fixed run", "<chain> bend", "<chain> moving run"
  ChainPart part = ChainPart::bend;
  shape::Mesh mesh;
  std::vector<Vec3> motion;
  std::array<double, 2> interval{0.0, 0.0};
};

struct ChainBodyOptions {
  /// mm: how far a run may reach back past its bracket; smaller: more intervals
  double over_reach_mm = 5.0;
};

struct ChainBodies {
  ChainFrame frame;
  std::vector<ChainPiece> pieces;  ///< empty unless frame.status is ok
  /// mm: how far a piece can lie outside the circular chain because links turn along a polygon.
  /// Whether pins or link middles lie on R is the maker's choice; the bend covers both.
  double polygon_allowance_mm = 0.0;
};

ChainBodies chain_bodies(const plan::Chain& chain, const machine::Machine& machine,
                         const ChainBodyOptions& options = {});

}  // namespace bight::chain
