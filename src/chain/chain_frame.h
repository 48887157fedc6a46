#pragma once
// A drag chain in place: which joint works it, how its loop lies in the plan's frame, whether it is
// mounted so that it can roll, and how its loop is sized over the joint's travel.

#include <array>
#include <cstddef>
#include <string>

#include "chain/loop.h"
#include "machine/machine.h"
#include "plan/plan.h"

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
  std::string problem;                     ///< one sentence with the amount, empty when ok
  std::size_t joint = 0;                   ///< index of the joint that works the chain
  std::array<double, 2> travel{0.0, 0.0};  ///< of that joint
  Vec3 along{0.0};                         ///< x of the loop: unit vector to which it opens
  Vec3 normal{0.0};                        ///< y of the loop: from the fixed run to the moving run
  Vec3 across{0.0};                        ///< along x normal: the width
  double rate = 0.0;                       ///< mm of x_M per unit of the joint, signed
  double offset_mm = 0.0;                  ///< x_M with all joints at zero (x_F = 0)
  double height_mm = 0.0;                  ///< distance of the runs' pitch lines as mounted
  LoopProblem loop;
  LoopResult size;  ///< set when status is ok or too_short
};

/// Value of the joint at which the moving pin is at x_M; an end of its travel comes out exact.
double joint_value(const ChainFrame& frame, double moving_mm);

/// Values of the joint for x_M between two places, rising.
std::array<double, 2> joint_interval(const ChainFrame& frame, double moving_a, double moving_b);

/// Reads a chain's frame and sizes its loop over the joint's travel.
ChainFrame chain_frame(const plan::Chain& chain, const machine::Machine& machine);

}  // namespace bight::chain
