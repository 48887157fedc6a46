#pragma once
// Where the joints may go: boxes of travel, their corners, home, stopping, and the zero of
// programs.

#include <array>
#include <optional>
#include <vector>

#include "plan/plan.h"

namespace bight::machine {

/// Lowest and highest value of each joint.
using TravelBox = std::vector<std::array<double, 2>>;

/// The soft travel: what the controller allows.
TravelBox soft_travel(const std::vector<plan::Joint>& joints);

/// What the iron allows: the hard stops, or the soft travel of a joint whose stops are not given.
TravelBox hard_travel(const std::vector<plan::Joint>& joints);

/// All corners of a box of n joints, 2^n poses; the first joint changes fastest, low before high.
/// BIGHT_CHECKs that n <= 16.
std::vector<std::vector<double>> corner_poses(const TravelBox& box);

/// Each joint at the end of its travel where it is homed.
std::vector<double> home_pose(const std::vector<plan::Joint>& joints);

/// Distance to stand still from a constant deceleration, mm: v^2/(2 a) with the speed in mm/min and
/// the deceleration in mm/s^2 (both > 0).
double stopping_distance(double speed, double acceleration);

/// The same for a joint's rapid rate; nothing when its speed or acceleration is not known.
std::optional<double> stopping_distance(const plan::Joint& joint);

/// Joint values of a point of a program (mm): program zero lies at the work offset's values of the
/// joints X, Y and Z. Joints of other letters keep their value of `rest`.
std::vector<double> joint_values(const std::vector<plan::Joint>& joints,
                                 const plan::WorkOffset& offset, const Vec3& program_point,
                                 std::vector<double> rest);

/// The point of a program at which the joints X, Y and Z have these values (the reverse of
/// joint_values). A letter that no joint has gives minus its offset.
Vec3 program_point(const std::vector<plan::Joint>& joints, const plan::WorkOffset& offset,
                   const std::vector<double>& pose);

}  // namespace bight::machine
