#include "study/clearance_advice.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"
#include "clearance/query.h"

namespace bight::study {
namespace {

constexpr double k_step_mm = 0.1;  ///< resolution of what is advised; finer is no use in a workshop

/// Smallest multiple of k_step_mm in (0, reach] for which `good` holds, found by bisection. The
/// answer itself was tested, so it holds even where `good` is not monotone.
template <typename Test>
std::optional<double> least_step(double reach, const Test& good) {
  auto high = static_cast<long>(std::floor(reach / k_step_mm));
  if (high < 1 || !good(static_cast<double>(high) * k_step_mm)) return {};
  long low = 0;
  while (high - low > 1) {
    const long middle = low + (high - low) / 2;
    (good(static_cast<double>(middle) * k_step_mm) ? high : low) = middle;
  }
  return static_cast<double>(high) * k_step_mm;
}

/// Work, its holding and surroundings stand on something and are easier to move than the machine.
bool stands(const Mover& mover) {
  return !mover.is_chain && (mover.role == plan::Role::clamp || mover.role == plan::Role::stock ||
                             mover.role == plan::Role::surroundings);
}

/// Do all pairs keep the distance with `b` moved by `shift` as seen from `a`?
bool keep_apart(std::span<const MoverPair> pairs, const Vec3& shift, double wanted_mm) {
  return std::all_of(pairs.begin(), pairs.end(), [&](const MoverPair& pair) {
    clearance::Travel travel = pair.travel.travel;
    travel.push_back({-shift, 1.0, 1.0});
    return clearance::clearance_exceeds(*pair.a->solid, *pair.b->solid, travel, wanted_mm);
  });
}

/// The same with one joint confined to [low, high]; a pair that is not there then keeps apart.
bool keep_apart(std::span<const MoverPair> pairs, std::size_t joint, double low, double high,
                double wanted_mm) {
  return std::all_of(pairs.begin(), pairs.end(), [&](const MoverPair& pair) {
    const double lower = std::max(low, pair.travel.range[joint][0]);
    const double upper = std::min(high, pair.travel.range[joint][1]);
    if (!(lower <= upper)) return true;
    clearance::Travel travel = pair.travel.travel;
    for (std::size_t i = 0; i < travel.size(); ++i) {
      if (pair.travel.joint[i] != joint) continue;
      travel[i].lower = lower;
      travel[i].upper = upper;
    }
    return clearance::clearance_exceeds(*pair.a->solid, *pair.b->solid, travel, wanted_mm);
  });
}

}  // namespace

std::optional<PartMove> least_move(std::span<const MoverPair> pairs, double wanted_mm,
                                   double reach_mm) {
  BIGHT_CHECK(!pairs.empty());
  const bool moves_a = stands(*pairs.front().a) && !stands(*pairs.front().b);
  const bool never_down = stands(moves_a ? *pairs.front().a : *pairs.front().b);
  std::optional<PartMove> best;
  for (int axis = 0; axis < 3; ++axis) {
    for (const double sign : {1.0, -1.0}) {
      if (axis == 2 && sign < 0.0 && never_down) continue;
      Vec3 direction(0.0);
      direction[axis] = sign;
      const double reach = best ? best->distance_mm - k_step_mm : reach_mm;
      const auto distance = least_step(reach, [&](double d) {
        return keep_apart(pairs, (moves_a ? -d : d) * direction, wanted_mm);
      });
      if (distance) best = PartMove{moves_a, direction, *distance};
    }
  }
  return best;
}

std::optional<TravelCut> least_cut(const machine::Machine& machine,
                                   std::span<const MoverPair> pairs, double wanted_mm) {
  std::optional<TravelCut> best;
  for (std::size_t j = 0; j < machine.joints.size(); ++j) {
    const double low = machine.joints[j].travel[0];
    const double high = machine.joints[j].travel[1];
    for (const bool low_end : {true, false}) {
      const double some_left = high - low - k_step_mm;
      const double reach = best ? std::min(best->lost_mm - k_step_mm, some_left) : some_left;
      const auto lost = least_step(reach, [&](double d) {
        return keep_apart(pairs, j, low + (low_end ? d : 0.0), high - (low_end ? 0.0 : d),
                          wanted_mm);
      });
      if (lost) best = TravelCut{j, low_end, low_end ? low + *lost : high - *lost, *lost};
    }
  }
  return best;
}

std::string clearance_advice(const Context& context, std::span<const MoverPair> pairs,
                             double wanted_mm) {
  std::string text;
  if (const auto move = least_move(pairs, wanted_mm)) {
    const Mover& moved = move->moves_a ? *pairs.front().a : *pairs.front().b;
    text = "move " + place_in_plan(context, moved.owner) + " by " +
           context.at_least(move->distance_mm) + " towards " + direction_text(move->direction);
  }
  if (const auto cut = least_cut(context.machine, pairs, wanted_mm)) {
    text += std::string(text.empty() ? "" : ", or ") + "let " +
            context.machine.joints[cut->joint].name + (cut->low_end ? " begin at " : " end at ") +
            context.length(cut->new_limit) + " (" + context.at_least(cut->lost_mm) +
            " less travel)";
  }
  if (text.empty()) {
    return "no single move up to 500 mm and no shorter travel of one axis gives " +
           context.length(wanted_mm) + ": change the shape of " +
           place_in_plan(context, pairs.front().a->owner) + " or " +
           place_in_plan(context, pairs.front().b->owner);
  }
  return text + " for " + context.length(wanted_mm) + " of clearance";
}

}  // namespace bight::study
