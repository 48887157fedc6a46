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
//
// A link is taken as a plate of the outer height, round about its pins, with a pitch of at least
// half that height; the round ends at the outermost pins lie in the brackets, which are parts of
// their own.

#include <array>
#include <string>
#include <vector>

#include "chain/chain_frame.h"
#include "machine/machine.h"
#include "plan/plan.h"
#include "shape/mesh.h"

namespace bight::chain {

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
