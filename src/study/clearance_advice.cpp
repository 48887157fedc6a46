#include "study/clearance_advice.h"

#include <array>
#include <cmath>

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

/// Who would move: work holding and surroundings are easier to move than the machine.
bool easier_to_move(const Mover& mover) {
  return !mover.is_chain && (mover.role == plan::Role::clamp || mover.role == plan::Role::stock ||
                             mover.role == plan::Role::surroundings);
}

}  // namespace

std::optional<PartMove> least_move(const Mover& a, const Mover& b, const PairTravel& pair,
                                   double wanted_mm, double reach_mm) {
  clearance::ClearanceQuery query(*a.solid, *b.solid);
  std::optional<PartMove> best;
  for (int axis = 0; axis < 3; ++axis) {
    for (const double sign : {1.0, -1.0}) {
      Vec3 direction(0.0);
      direction[axis] = sign;
      clearance::Travel travel = pair.travel;
      travel.push_back({-direction, 0.0, 0.0});  // b's move as seen from a
      const double reach = best ? best->distance_mm - k_step_mm : reach_mm;
      const auto distance = least_step(reach, [&](double d) {
        travel.back().lower = travel.back().upper = d;
        return query.exceeds(travel, wanted_mm);
      });
      if (distance) best = PartMove{direction, *distance};
    }
  }
  return best;
}

std::optional<TravelCut> least_cut(const Mover& a, const Mover& b, const PairTravel& pair,
                                   double wanted_mm) {
  clearance::ClearanceQuery query(*a.solid, *b.solid);
  std::optional<TravelCut> best;
  for (std::size_t i = 0; i < pair.travel.size(); ++i) {
    const clearance::Axis& axis = pair.travel[i];
    for (const bool low_end : {true, false}) {
      clearance::Travel travel = pair.travel;
      const double span = axis.upper - axis.lower;
      const double reach = best ? best->lost_mm - k_step_mm : span;
      const auto lost = least_step(reach, [&](double d) {
        travel[i].lower = axis.lower + (low_end ? d : 0.0);
        travel[i].upper = axis.upper - (low_end ? 0.0 : d);
        return travel[i].lower <= travel[i].upper && query.exceeds(travel, wanted_mm);
      });
      if (lost) {
        best = TravelCut{pair.joint[i], low_end, low_end ? axis.lower + *lost : axis.upper - *lost,
                         *lost};
      }
    }
  }
  return best;
}

std::string clearance_advice(const Context& context, const Mover& a, const Mover& b,
                             const PairTravel& pair, double wanted_mm) {
  const bool move_a = easier_to_move(a) && !easier_to_move(b);
  std::string text;
  std::optional<PartMove> move = least_move(a, b, pair, wanted_mm);
  if (move && move_a) move->direction = -move->direction;
  if (move) {
    text = "move " + (move_a ? a.owner : b.owner) + " by " + context.length(move->distance_mm) +
           " towards " + direction_text(move->direction);
  }
  const std::optional<TravelCut> cut = least_cut(a, b, pair, wanted_mm);
  if (cut) {
    text += std::string(text.empty() ? "" : ", or ") + "let " +
            context.machine.joints[cut->joint].name + (cut->low_end ? " begin at " : " end at ") +
            context.length(cut->new_limit) + " (" + context.length(cut->lost_mm) + " less travel)";
  }
  if (text.empty()) {
    return "no single move up to 500 mm and no shorter travel of one axis gives " +
           context.length(wanted_mm) + ": change the shape of one of the two";
  }
  return text + " for " + context.length(wanted_mm) + " of clearance";
}

}  // namespace bight::study
