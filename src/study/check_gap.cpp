#include "study/check_gap.h"

#include <array>
#include <utility>

#include "base/tolerance.h"
#include "clearance/query.h"
#include "study/clearance_advice.h"

namespace bight::study {
namespace {

constexpr std::array<std::pair<const char*, double>, 8> k_minimum_gaps = {{{"body", 500.0},
                                                                           {"head", 300.0},
                                                                           {"leg", 180.0},
                                                                           {"foot", 120.0},
                                                                           {"toes", 50.0},
                                                                           {"arm", 120.0},
                                                                           {"hand", 100.0},
                                                                           {"finger", 25.0}}};

bool is_named(const std::string& name, const Mover& mover) {
  return name == mover.owner || (!mover.body.empty() && name == mover.body);
}

bool beyond_travel(const Context& context, const std::vector<double>& pose) {
  for (std::size_t j = 0; j < pose.size(); ++j) {
    const auto& travel = context.machine.joints[j].travel;
    if (pose[j] < travel[0] || pose[j] > travel[1]) return true;
  }
  return false;
}

/// A shorter travel does not help where the hard stops stay.
std::string move_advice(const Context& context, const std::array<MoverPair, 1>& pairs,
                        double wanted_mm) {
  const auto move = least_move(pairs, wanted_mm);
  const std::string stops = "set travel and hard stops farther in";
  if (!move) return "change the shape of " + pairs[0].a->owner + ", or " + stops;
  return "move " + place_in_plan(context, (move->moves_a ? pairs[0].a : pairs[0].b)->owner) +
         " by " + context.at_least(move->distance_mm) + " towards " +
         direction_text(move->direction) + ", or " + stops;
}

}  // namespace

std::optional<double> minimum_gap(const std::string& limb) {
  for (const auto& [name, gap] : k_minimum_gaps) {
    if (limb == name) return gap;
  }
  return {};
}

std::vector<Finding> check_gaps(const Context& context, const std::vector<Mover>& movers) {
  std::vector<Finding> findings;
  for (const plan::Gap& gap : context.plan.gaps) {
    const std::optional<double> limit = minimum_gap(gap.limb);
    if (!limit) continue;  // validation has refused the plan
    const Mover* nearest_a = nullptr;
    const Mover* nearest_b = nullptr;
    PairTravel nearest_pair;
    bool to_stops = false;
    clearance::QueryResult nearest;
    for (const Mover& a : movers) {
      for (const Mover& b : movers) {
        if (!is_named(gap.between[0], a) || !is_named(gap.between[1], b)) continue;
        auto pair = pair_travel(context, a, b);
        if (!pair || pair->travel.empty()) continue;
        // A machine that has lost its zero runs on to the stops.
        const auto hard = travel_to_stops(context, a, b, *pair);
        if (hard) pair = hard;
        const auto result = clearance::query_clearance(*a.solid, *b.solid, pair->travel,
                                                       {.tolerance_mm = k_clearance_tolerance_mm});
        if (nearest_a != nullptr && result.upper_mm >= nearest.upper_mm) continue;
        nearest_a = &a;
        nearest_b = &b;
        nearest_pair = *pair;
        to_stops = hard.has_value();
        nearest = result;
      }
    }
    if (nearest_a == nullptr) {
      Finding finding = make_finding("crush gap", Severity::note, Certainty::proved,
                                     {gap.between[0], gap.between[1]});
      finding.limit = *limit;
      finding.what = gap.between[0] + " and " + gap.between[1] +
                     " do not move against each other: the gap between them never changes, so "
                     "nothing is checked there";
      finding.advice =
          "name two things that move against each other, or leave this [[gap]] out: a "
          "gap that changes would have to stay " +
          context.length(*limit, 0) + " wide";
      findings.push_back(std::move(finding));
      continue;
    }
    if (nearest.lower_mm + k_clearance_tolerance_mm >= *limit) continue;
    Finding finding = make_finding("crush gap", Severity::act, Certainty::proved,
                                   {nearest_a->owner, nearest_b->owner});
    finding.pose = full_pose(nearest_pair, nearest.pose);
    finding.value = nearest.upper_mm;
    finding.limit = *limit;
    finding.what = "the gap between " + nearest_a->owner + " and " + nearest_b->owner +
                   " closes to " + context.length(nearest.upper_mm) +
                   (beyond_travel(context, finding.pose) ? " on the way to the hard stops" : "") +
                   "; a " + gap.limb + " needs " + context.length(*limit, 0) + " (ISO 13854)";
    if (!context.options.findings_only) {
      const std::array pairs{MoverPair{nearest_a, nearest_b, nearest_pair}};
      finding.advice = (to_stops ? move_advice(context, pairs, *limit)
                                 : clearance_advice(context, pairs, *limit)) +
                       "; where neither can be, keep people out by a fixed guard";
    }
    findings.push_back(std::move(finding));
  }
  return findings;
}

}  // namespace bight::study
