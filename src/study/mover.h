#pragma once
// Everything that can hit something: placed parts and the pieces of drag chains, each with its
// motion and the part of the travel for which its shape holds.

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "clearance/travel.h"
#include "shape/solid.h"
#include "study/context.h"

namespace bight::study {

struct Mover {
  std::string name;   ///< "router", "X chain bend"
  std::string owner;  ///< the part or chain: what a person would move
  std::string body;   ///< of a part; empty for a piece of a chain
  plan::Role role = plan::Role::machine;
  bool is_chain = false;
  double minimum_clearance_mm = 0.0;
  std::vector<Vec3> motion;  ///< one entry a joint
  std::shared_ptr<const shape::Solid> solid;
  std::vector<std::array<double, 2>>
      range;  ///< joint values for which the piece is there, one entry a joint
};

/// Of each joint: the range of what is there at every pose.
std::vector<std::array<double, 2>> whole_travel(const machine::Machine& machine);

/// All parts, then the pieces of all chains whose ideal loop exists.
std::vector<Mover> make_movers(const Context& context);

/// Travel of `a` against `b` and which joint each axis is.
struct PairTravel {
  clearance::Travel travel;
  std::vector<std::size_t> joint;            ///< of each axis
  std::vector<double> neutral;               ///< pose of all joints, for those that do not matter
  std::vector<std::array<double, 2>> range;  ///< values of all joints at which both are there
};

/// Nothing when the two stand still to each other at every pose (and neither is a piece of a
/// chain), or when they are never there at the same time.
std::optional<PairTravel> pair_travel(const Context& context, const Mover& a, const Mover& b);

/// The same out to the hard stops; nothing when no joint of it has any, or for pieces of chains,
/// whose shape holds for a part of the soft travel.
std::optional<PairTravel> travel_to_stops(const Context& context, const Mover& a, const Mover& b,
                                          const PairTravel& soft);

/// mm that two movers should stay apart. A part's own wish replaces the rule's; of two wishes the
/// larger counts.
double wanted_clearance(const Context& context, const Mover& a, const Mover& b);

/// Pose of all joints from the pose of a pair.
std::vector<double> full_pose(const PairTravel& pair, const clearance::Pose& pose);

/// Why the plan says that two movers touch by design, or nothing.
std::optional<std::string> touching_by_design(const Context& context, const Mover& a,
                                              const Mover& b);

}  // namespace bight::study
