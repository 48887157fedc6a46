// Moves of parts and chains, and cuts of travel, that may open a gap; travel that may reach.

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "clearance/query.h"
#include "clearance/reach.h"
#include "study/clearance_advice.h"
#include "study/lookup.h"
#include "study/suggest_candidate.h"
#include "study/suggest_edit.h"
#include "study/tool_travel.h"

namespace bight::study {
namespace {

constexpr double k_step_mm = 1.0;     ///< of moves; parts are measured to it
constexpr double k_reach_mm = 500.0;  ///< farthest move

using Pair = MoverPair;

/// All pairs of the pieces of two owners that move against each other.
std::vector<Pair> pairs_of(const Context& context, const std::vector<Mover>& movers,
                           const std::string& a, const std::string& b) {
  std::vector<Pair> pairs;
  for (const Mover& x : movers) {
    for (const Mover& y : movers) {
      if (x.owner != a || y.owner != b) continue;
      if (auto travel = pair_travel(context, x, y)) pairs.push_back({&x, &y, std::move(*travel)});
    }
  }
  return pairs;
}

/// Least move of the owner of `b` along a direction after which all pairs keep the distance.
std::optional<double> least_distance(const std::vector<Pair>& pairs, const Vec3& direction,
                                     double wanted_mm) {
  const auto good = [&](double distance) {
    return std::all_of(pairs.begin(), pairs.end(), [&](const Pair& pair) {
      clearance::Travel travel = pair.travel.travel;
      travel.push_back({-direction, distance, distance});
      return clearance::clearance_exceeds(*pair.a->solid, *pair.b->solid, travel, wanted_mm);
    });
  };
  long high = std::lround(k_reach_mm / k_step_mm);
  if (!good(static_cast<double>(high) * k_step_mm)) return {};
  long low = 0;
  while (high - low > 1) {
    const long middle = low + (high - low) / 2;
    (good(static_cast<double>(middle) * k_step_mm) ? high : low) = middle;
  }
  return static_cast<double>(high) * k_step_mm;
}

/// How a thing of the plan is moved; empty for parts that the frame makes.
std::vector<PlanChange> shifted(const Context& context, const std::string& owner, const Vec3& shift,
                                const std::string& why) {
  const std::string what = "move " + owner + ' ' + why;
  for (const plan::Part& part : context.plan.parts) {
    if (part.name != owner) continue;
    return {{"part." + owner + ".at", toml_place(context, part.at + shift), what}};
  }
  for (const plan::Chain& chain : context.plan.chains) {
    if (chain.name != owner) continue;
    auto changes = move_bracket(context, chain, Bracket::fixed, shift, why);
    auto more = move_bracket(context, chain, Bracket::moving, shift, why);
    std::move(more.begin(), more.end(), std::back_inserter(changes));
    return changes;
  }
  return {};
}

plan::Role role_of(const Context& context, const std::string& owner) {
  for (const plan::Part& part : context.plan.parts) {
    if (part.name == owner) return part.role;
  }
  return plan::Role::machine;
}

/// Work holding and surroundings are moved before the machine.
int effort(plan::Role role) {
  return role == plan::Role::machine || role == plan::Role::tool ? 1 : 0;
}

/// Work and its holding stay on what they lie on; nothing of the surroundings is pushed down into
/// what it stands on.
bool may_move(plan::Role role, const Vec3& direction) {
  const bool lies = role == plan::Role::clamp || role == plan::Role::stock;
  if (lies) return direction.z == 0.0;
  return role != plan::Role::surroundings || direction.z >= 0.0;
}

/// The travel of a pair out to the hard stops.
Pair to_stops(const Context& context, Pair pair) {
  for (std::size_t i = 0; i < pair.travel.travel.size(); ++i) {
    const auto& stops = context.machine.joints[pair.travel.joint[i]].stops;
    if (!stops) continue;
    pair.travel.travel[i].lower = (*stops)[0];
    pair.travel.travel[i].upper = (*stops)[1];
  }
  return pair;
}

void add_travel(const Context& context, std::size_t joint, double low, double high,
                const std::string& what, std::vector<Candidate>& candidates) {
  const plan::Joint& j = context.machine.joints[joint];
  candidates.push_back(
      {"another travel",
       {{"joint." + j.name + ".travel",
         "[" + toml_measure(context, low) + ", " + toml_measure(context, high) + "]", what}}});
}

void add_cuts(const Context& context, const std::vector<Pair>& pairs, double wanted_mm,
              std::vector<Candidate>& candidates) {
  std::optional<TravelCut> largest;
  for (const Pair& pair : pairs) {
    if (clearance::clearance_exceeds(*pair.a->solid, *pair.b->solid, pair.travel.travel,
                                     wanted_mm)) {
      continue;
    }
    const auto cut = least_cut(context.machine, std::array{pair}, wanted_mm);
    if (cut && (!largest || cut->lost_mm > largest->lost_mm)) largest = cut;
  }
  if (!largest) return;
  const plan::Joint& joint = context.machine.joints[largest->joint];
  const double low = largest->low_end ? largest->new_limit : joint.travel[0];
  const double high = largest->low_end ? joint.travel[1] : largest->new_limit;
  add_travel(context, largest->joint, low, high,
             "let " + joint.name + (largest->low_end ? " begin at " : " end at ") +
                 context.length(largest->new_limit),
             candidates);
}

}  // namespace

std::vector<Candidate> part_candidates(const Context& context, const Finding& finding) {
  if (finding.things.size() != 2) return {};
  struct Move {
    int effort = 0;
    double distance_mm = 0.0;
    std::vector<PlanChange> changes;
  };
  const bool beyond = finding.check == "clearance beyond travel";
  const std::vector<Mover> movers = make_movers(context);
  std::vector<Pair> last;
  std::vector<Move> moves;
  for (const bool swapped : {false, true}) {
    const std::string& stays = finding.things[swapped ? 1 : 0];
    const std::string& goes = finding.things[swapped ? 0 : 1];
    last = pairs_of(context, movers, stays, goes);
    if (last.empty()) continue;
    if (beyond) {
      for (Pair& pair : last) pair = to_stops(context, std::move(pair));
    }
    const plan::Role role = role_of(context, goes);
    for (int axis = 0; axis < 3; ++axis) {
      for (const double sign : {1.0, -1.0}) {
        if (is_cancelled(context.options.progress)) return {};
        Vec3 direction(0.0);
        direction[axis] = sign;
        if (!may_move(role, direction) || shifted(context, goes, direction, "").empty()) continue;
        const auto distance = least_distance(last, direction, finding.limit);
        if (!distance) continue;
        moves.push_back({effort(role), *distance,
                         shifted(context, goes, *distance * direction,
                                 "by " + context.length(*distance, 0) + " towards " +
                                     direction_text(direction))});
      }
    }
  }
  std::stable_sort(moves.begin(), moves.end(), [](const Move& a, const Move& b) {
    return a.effort != b.effort ? a.effort < b.effort : a.distance_mm < b.distance_mm;
  });
  std::vector<Candidate> candidates;
  candidates.reserve(moves.size());
  for (Move& move : moves) candidates.push_back({"a part elsewhere", std::move(move.changes)});
  if (!beyond) add_cuts(context, last, finding.limit, candidates);
  return candidates;
}

std::vector<Candidate> travel_candidates(const Context& context, const Finding& finding) {
  std::vector<Candidate> candidates;
  const std::optional<ToolTravel> tool = tool_travel(context.machine);
  if (!tool) return candidates;
  clearance::Travel travel;
  std::vector<std::size_t> joints;
  for (std::size_t j = 0; j < context.machine.joints.size(); ++j) {
    if (tool->directions[j] == Vec3(0.0)) continue;
    const auto& limits = context.machine.joints[j].travel;
    travel.push_back({tool->directions[j], limits[0], limits[1]});
    joints.push_back(j);
  }
  for (const plan::WorkArea& area : context.plan.work_areas) {
    const bool named =
        std::find(finding.things.begin(), finding.things.end(), area.name) != finding.things.end();
    if (!named) continue;
    const Box wanted{glm::min(area.from, area.to), glm::max(area.from, area.to)};
    const clearance::TipShortfall missing = clearance::tip_shortfall(tool->tip, travel, wanted);
    // More travel only where the stops are known to leave it.
    Candidate all{"another travel", {}};
    for (std::size_t i = 0; i < joints.size(); ++i) {
      const plan::Joint& joint = context.machine.joints[joints[i]];
      if (!(missing.below_mm[i] > 0.0) && !(missing.above_mm[i] > 0.0)) continue;
      const double low = joint.travel[0] - std::max(0.0, missing.below_mm[i]);
      const double high = joint.travel[1] + std::max(0.0, missing.above_mm[i]);
      if (!joint.stops || low <= (*joint.stops)[0] || high >= (*joint.stops)[1]) return candidates;
      std::vector<Candidate> one;
      add_travel(context, joints[i], low, high,
                 "let " + joint.name + " travel from " + context.length(low) + " to " +
                     context.length(high),
                 one);
      all.changes.push_back(one.front().changes.front());
    }
    if (!all.changes.empty()) candidates.push_back(std::move(all));
  }
  return candidates;
}

}  // namespace bight::study
