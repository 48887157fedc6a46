// Moves of parts and chains, and cuts of travel, that may open a gap; travel that may reach.

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "clearance/query.h"
#include "clearance/reach.h"
#include "shape/mesh.h"
#include "study/clearance_advice.h"
#include "study/lookup.h"
#include "study/suggest_candidate.h"
#include "study/suggest_edit.h"
#include "study/tool_travel.h"

namespace bight::study {
namespace {

constexpr double k_step_mm = 1.0;     ///< of moves; parts are measured to it
constexpr double k_reach_mm = 500.0;  ///< farthest move
constexpr double k_lowest_mm = 3.0;   ///< that a clamp or a workpiece is made

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

/// mm. Surroundings that measure this much both ways are the building: they stay.
constexpr double k_building_mm = 1500.0;

bool is_building(const plan::Part& part, const Box& box) {
  if (part.role != plan::Role::surroundings) return false;
  std::array<double, 3> sides{box.size().x, box.size().y, box.size().z};
  std::sort(sides.begin(), sides.end());
  return sides[1] >= k_building_mm;
}

/// A clamp or a workpiece that is less high.
std::vector<PlanChange> lowered(const Context& context, const std::string& name, double by_mm) {
  for (const plan::Part& part : context.plan.parts) {
    const bool lies = part.role == plan::Role::clamp || part.role == plan::Role::stock;
    if (part.name != name || !lies || part.turn != Vec3(0.0)) continue;
    const bool box = part.shape == plan::ShapeKind::box;
    const bool upright =
        !box && part.shape != plan::ShapeKind::mesh && part.along == plan::AxisLetter::z;
    if (!box && !upright) continue;
    const double height = (box ? part.size.z : part.length) - by_mm;
    if (!(height >= k_lowest_mm)) continue;
    const std::string what = "take " + name + " no higher than " + context.length(height, 0) +
                             ", it is " + context.length(height + by_mm, 0) + " high";
    const std::string path = "part." + name;
    if (box) {
      return {{path + ".size", toml_place(context, {part.size.x, part.size.y, height}), what}};
    }
    return {set_length(context, path + ".length", height, what)};
  }
  return {};
}

/// How a thing of the plan is moved with what it carries; empty for parts that the frame makes.
Ways ways_of(const Context& context, const Carriers& carriers, const std::string& owner,
             const Vec3& shift, const std::string& why) {
  for (const plan::Part& part : context.plan.parts) {
    if (part.name == owner) return carriers.move_part(owner, shift, why);
  }
  for (const plan::Chain& chain : context.plan.chains) {
    if (chain.name == owner) return carriers.move_chain(chain, shift, why);
  }
  return {};
}

/// Written in the plan file, and no part of the building.
bool is_in_plan(const Context& context, const std::string& owner) {
  for (const machine::PlacedPart& placed : context.machine.parts) {
    if (placed.name != owner) continue;
    for (const plan::Part& part : context.plan.parts) {
      if (part.name == owner) return !is_building(part, shape::bounds(placed.solid->mesh));
    }
  }
  const auto named = [&](const auto& element) { return element.name == owner; };
  return std::any_of(context.plan.chains.begin(), context.plan.chains.end(), named);
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

bool is_work(plan::Role role) {
  return role == plan::Role::clamp || role == plan::Role::stock;
}

/// Work and its holding stay on what they lie on; nothing of the surroundings is pushed down into
/// what it stands on.
bool may_move(plan::Role role, const Vec3& direction) {
  if (is_work(role)) return direction.z == 0.0;
  return role != plan::Role::surroundings || direction.z >= 0.0;
}

void add_travel(const Context& context, std::size_t joint, double low, double high,
                const std::string& what, Candidates& candidates) {
  const plan::Joint& j = context.machine.joints[joint];
  candidates.push_back(
      {"another travel",
       {{"joint." + j.name + ".travel",
         "[" + toml_measure(context, low) + ", " + toml_measure(context, high) + "]", what}}});
}

/// Do all pairs keep apart with one end of one joint's travel moved inward?
bool keep_apart(const Context& context, const std::vector<Pair>& pairs, std::size_t joint,
                bool low_end, double lost_mm, double wanted_mm) {
  const auto& travel = context.machine.joints[joint].travel;
  const double low = travel[0] + (low_end ? lost_mm : 0.0);
  const double high = travel[1] - (low_end ? 0.0 : lost_mm);
  return std::all_of(pairs.begin(), pairs.end(), [&](const Pair& pair) {
    const double lower = std::max(low, pair.travel.range[joint][0]);
    const double upper = std::min(high, pair.travel.range[joint][1]);
    if (!(lower <= upper)) return true;  // a piece of a chain that is not there then
    clearance::Travel limited = pair.travel.travel;
    for (std::size_t i = 0; i < limited.size(); ++i) {
      if (pair.travel.joint[i] != joint) continue;
      limited[i].lower = lower;
      limited[i].upper = upper;
    }
    return clearance::clearance_exceeds(*pair.a->solid, *pair.b->solid, limited, wanted_mm);
  });
}

/// The least cut of one end of one joint, up to half of its travel.
std::optional<double> cut_of(const Context& context, const std::vector<Pair>& pairs,
                             std::size_t joint, bool low_end, double wanted_mm) {
  const auto& travel = context.machine.joints[joint].travel;
  long high = std::lround(std::floor(0.5 * (travel[1] - travel[0]) / k_step_mm));
  const auto good = [&](long steps) {
    return keep_apart(context, pairs, joint, low_end, static_cast<double>(steps) * k_step_mm,
                      wanted_mm);
  };
  if (high < 1 || !good(high)) return {};
  long low = 0;
  if (good(low)) return 0.0;
  while (high - low > 1) {
    const long middle = low + (high - low) / 2;
    (good(middle) ? high : low) = middle;
  }
  return static_cast<double>(high) * k_step_mm;
}

/// With the hard stops where they are, then moved by as much.
void add_cut(const Context& context, const TravelCut& cut, Candidates& candidates) {
  const plan::Joint& joint = context.machine.joints[cut.joint];
  const double low = cut.low_end ? cut.new_limit : joint.travel[0];
  const double high = cut.low_end ? joint.travel[1] : cut.new_limit;
  const std::string what = "let " + joint.name + (cut.low_end ? " begin at " : " end at ") +
                           context.length(cut.new_limit);
  add_travel(context, cut.joint, low, high, what, candidates);
  if (!joint.stops) return;
  std::array<double, 2> stops = *joint.stops;
  double& stop = cut.low_end ? stops[0] : stops[1];
  stop += cut.low_end ? cut.lost_mm : -cut.lost_mm;
  add_travel(context, cut.joint, low, high,
             what + ", and set its hard stop there to " + context.length(stop), candidates);
  candidates.back().changes.push_back(
      {"joint." + joint.name + ".stops",
       "[" + toml_measure(context, stops[0]) + ", " + toml_measure(context, stops[1]) + "]",
       {}});
}

/// Shorter travel of each joint: what this finding needs, and what all findings need that a cut of
/// the same end mends.
void add_cuts(const Context& context, const std::vector<Mover>& movers, const StudyResult& result,
              const Finding& finding, const std::vector<Pair>& pairs, Candidates& candidates) {
  std::vector<TravelCut> cuts;
  const auto add = [&](std::size_t joint, bool low_end, double lost) {
    const auto& travel = context.machine.joints[joint].travel;
    cuts.push_back({joint, low_end, low_end ? travel[0] + lost : travel[1] - lost, lost});
  };
  for (std::size_t j = 0; j < context.machine.joints.size(); ++j) {
    for (const bool low_end : {true, false}) {
      const auto one = cut_of(context, pairs, j, low_end, finding.limit);
      if (!one || !(*one > 0.0)) continue;
      double most = *one;
      for (const Finding& other : result.findings) {
        const bool same = other.check == "clearance" && other.things.size() == 2;
        if (!same || other.severity == Severity::note) continue;
        const auto more =
            cut_of(context, pairs_of(context, movers, other.things[0], other.things[1]), j, low_end,
                   other.limit);
        if (more) most = std::max(most, *more);
      }
      add(j, low_end, *one);
      if (most > *one) add(j, low_end, most);
    }
  }
  std::stable_sort(cuts.begin(), cuts.end(),
                   [](const TravelCut& a, const TravelCut& b) { return a.lost_mm < b.lost_mm; });
  for (const TravelCut& cut : cuts) add_cut(context, cut, candidates);
}

}  // namespace

Candidates part_candidates(const Context& context, const StudyResult& result,
                           const Finding& finding, const Carriers& carriers) {
  if (finding.things.size() != 2) return {};
  struct Move {
    int effort = 0;
    double distance_mm = 0.0;
    Ways ways;
  };
  const bool beyond = finding.check == "clearance beyond travel";
  const bool to_stops = beyond || finding.check == "crush gap";
  const std::vector<Mover> movers = make_movers(context);
  std::vector<Pair> last;
  std::vector<Move> moves;
  for (const bool swapped : {false, true}) {
    const std::string& stays = finding.things[swapped ? 1 : 0];
    const std::string& goes = finding.things[swapped ? 0 : 1];
    last = pairs_of(context, movers, stays, goes);
    if (last.empty()) continue;
    std::vector<Pair> pairs = last;
    for (Pair& pair : pairs) {
      const auto hard = travel_to_stops(context, *pair.a, *pair.b, pair.travel);
      if (to_stops && hard) pair.travel = *hard;
    }
    const plan::Role role = role_of(context, goes);
    for (int axis = 0; axis < 3; ++axis) {
      for (const double sign : {1.0, -1.0}) {
        if (is_cancelled(context.options.progress)) return {};
        Vec3 direction(0.0);
        direction[axis] = sign;
        const bool lower = sign < 0.0 && axis == 2;
        const bool can_move = may_move(role, direction) && is_in_plan(context, goes);
        if (!can_move && !(lower && is_work(role))) continue;
        const auto distance = least_distance(pairs, direction, finding.limit);
        if (!distance) continue;
        if (!can_move) {
          auto way = lowered(context, goes, *distance);
          if (!way.empty()) moves.push_back({1, *distance, {std::move(way)}});
          continue;
        }
        Ways ways =
            ways_of(context, carriers, goes, *distance * direction,
                    "by " + context.length(*distance, 0) + " towards " + direction_text(direction));
        if (!ways.empty()) moves.push_back({effort(role), *distance, std::move(ways)});
      }
    }
  }
  std::stable_sort(moves.begin(), moves.end(), [](const Move& a, const Move& b) {
    return a.effort != b.effort ? a.effort < b.effort : a.distance_mm < b.distance_mm;
  });
  Candidates candidates;
  for (Move& move : moves) add_ways(std::move(move.ways), "a part elsewhere", candidates);
  if (!beyond) add_cuts(context, movers, result, finding, last, candidates);
  return candidates;
}

Candidates travel_candidates(const Context& context, const Finding& finding) {
  Candidates candidates;
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
      Candidates one;
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
