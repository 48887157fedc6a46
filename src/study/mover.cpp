#include "study/mover.h"

#include <algorithm>

#include "chain/chain_bodies.h"
#include "machine/motion.h"

namespace bight::study {
namespace {

bool names(const std::string& name, const Mover& mover) {
  return name == mover.owner || name == mover.name || (!mover.body.empty() && name == mover.body);
}

/// A chain lists in its own table what it lies on or is bolted to.
bool chain_may_touch(const Context& context, const Mover& chain, const Mover& other) {
  for (const plan::Chain& c : context.plan.chains) {
    if (c.name != chain.owner) continue;
    return std::any_of(c.may_touch.begin(), c.may_touch.end(),
                       [&](const std::string& name) { return names(name, other); });
  }
  return false;
}

}  // namespace

std::vector<std::array<double, 2>> whole_travel(const machine::Machine& machine) {
  std::vector<std::array<double, 2>> range;
  range.reserve(machine.joints.size());
  for (const plan::Joint& joint : machine.joints) range.push_back(joint.travel);
  return range;
}

std::vector<Mover> make_movers(const Context& context) {
  const machine::Machine& machine = context.machine;
  const auto everywhere = whole_travel(machine);
  std::vector<Mover> movers;
  for (const machine::PlacedPart& part : machine.parts) {
    const machine::Body& body = machine.bodies[part.body];
    movers.push_back({.name = part.name,
                      .owner = part.name,
                      .body = body.name,
                      .role = part.role,
                      .minimum_clearance_mm = part.minimum_clearance_mm,
                      .motion = body.motion,
                      .solid = part.solid,
                      .range = everywhere});
  }
  for (const plan::Chain& chain : context.plan.chains) {
    if (!chain.present) continue;
    const chain::ChainBodies bodies = chain::chain_bodies(chain, machine);
    for (const chain::ChainPiece& piece : bodies.pieces) {
      auto range = everywhere;
      range[bodies.frame.joint] = piece.interval;
      movers.push_back({.name = piece.name,
                        .owner = chain.name,
                        .is_chain = true,
                        .minimum_clearance_mm = context.plan.rules.minimum_clearance,
                        .motion = piece.motion,
                        .solid = std::make_shared<shape::Solid>(shape::make_solid(piece.mesh)),
                        .range = std::move(range)});
    }
  }
  return movers;
}

std::optional<PairTravel> pair_travel(const Context& context, const Mover& a, const Mover& b) {
  if (a.is_chain && b.is_chain && a.owner == b.owner) return {};
  PairTravel pair;
  pair.neutral = neutral_pose(context.machine);
  for (std::size_t j = 0; j < a.motion.size(); ++j) {
    const double lower = std::max(a.range[j][0], b.range[j][0]);
    const double upper = std::min(a.range[j][1], b.range[j][1]);
    if (!(lower <= upper)) return {};
    pair.range.push_back({lower, upper});
    pair.neutral[j] = std::clamp(pair.neutral[j], lower, upper);
    const Vec3 direction = a.motion[j] - b.motion[j];
    if (direction == Vec3(0.0)) continue;
    pair.travel.push_back({direction, lower, upper});
    pair.joint.push_back(j);
  }
  if (pair.travel.empty() && !a.is_chain && !b.is_chain) return {};
  return pair;
}

std::optional<PairTravel> travel_to_stops(const Context& context, const Mover& a, const Mover& b,
                                          const PairTravel& soft) {
  if (a.is_chain || b.is_chain) return {};
  PairTravel hard = soft;
  bool beyond = false;
  for (std::size_t i = 0; i < hard.travel.size(); ++i) {
    const auto& stops = context.machine.joints[hard.joint[i]].stops;
    if (!stops) continue;
    hard.travel[i].lower = (*stops)[0];
    hard.travel[i].upper = (*stops)[1];
    hard.range[hard.joint[i]] = *stops;
    beyond = true;
  }
  return beyond ? std::optional(hard) : std::nullopt;
}

std::vector<double> full_pose(const PairTravel& pair, const clearance::Pose& pose) {
  std::vector<double> full = pair.neutral;
  for (std::size_t i = 0; i < pair.joint.size() && i < pose.size(); ++i) {
    full[pair.joint[i]] = pose[i];
  }
  return full;
}

std::optional<std::string> touching_by_design(const Context& context, const Mover& a,
                                              const Mover& b) {
  for (const plan::Touching& touching : context.machine.touching) {
    const auto& [first, second] = touching.between;
    if ((names(first, a) && names(second, b)) || (names(first, b) && names(second, a))) {
      return touching.why;
    }
  }
  if ((a.is_chain && chain_may_touch(context, a, b)) ||
      (b.is_chain && chain_may_touch(context, b, a))) {
    return "the chain lies on it or is bolted to it";
  }
  return {};
}

double wanted_clearance(const Context& context, const Mover& a, const Mover& b) {
  const double rule = context.plan.rules.minimum_clearance;
  if (a.minimum_clearance_mm == rule) return b.minimum_clearance_mm;
  if (b.minimum_clearance_mm == rule) return a.minimum_clearance_mm;
  return std::max(a.minimum_clearance_mm, b.minimum_clearance_mm);
}

}  // namespace bight::study
