#include "study/check_clearance.h"

#include <algorithm>
#include <array>
#include <map>
#include <optional>

#include "base/parallel.h"
#include "base/tolerance.h"
#include "clearance/query.h"
#include "study/clearance_advice.h"

namespace bight::study {
namespace {

struct Candidate {
  MoverPair pair;
  double wanted_mm = 0.0;
  clearance::QueryResult result;
  bool clear_to_stops = true;  ///< no contact either between the soft travel and the hard stops
};

using Owners = std::pair<std::string, std::string>;

Owners owners_of(const Candidate& c) {
  return {c.pair.a->owner, c.pair.b->owner};
}

/// Work and its holding are changed from job to job: the program has to stay out of them, which a
/// dry run proves. Everything else must never be hit.
bool is_work(const Mover& mover) {
  return mover.role == plan::Role::clamp || mover.role == plan::Role::stock;
}

std::string pair_name(const Mover& mover) {
  return mover.is_chain ? mover.name : mover.owner;
}

Finding describe(const Context& context, const Candidate& c, const std::vector<MoverPair>& all) {
  const Mover& a = *c.pair.a;
  const Mover& b = *c.pair.b;
  // Not proved apart is contact: the attained distance may be a rounding error above zero.
  const bool contact = c.result.lower_mm <= 0.0;
  Finding finding = make_finding(
      "clearance", contact && !is_work(a) && !is_work(b) ? Severity::stop : Severity::act,
      Certainty::proved, {a.owner, b.owner});
  finding.pose = full_pose(c.pair.travel, c.result.pose);
  finding.value = contact ? 0.0 : c.result.upper_mm;
  finding.limit = c.wanted_mm;
  if (contact) {
    finding.what = pair_name(a) + (c.result.contained ? " is inside " : " hits ") + pair_name(b) +
                   " within the travel";
    if (is_work(a) || is_work(b)) finding.what += ": a program has to stay out of it";
  } else {
    finding.what = pair_name(a) + " comes within " + context.length(c.result.upper_mm, 2) + " of " +
                   pair_name(b) + ", " + context.length(c.wanted_mm) + " wanted";
  }
  if (!context.options.findings_only) {
    finding.advice = clearance_advice(context, all, c.wanted_mm);
  }
  return finding;
}

/// Contact only beyond the soft travel: on the way to a switch, or when an axis overruns.
Finding describe_overrun(const Context& context, const Candidate& c) {
  const Mover& a = *c.pair.a;
  const Mover& b = *c.pair.b;
  Finding finding =
      make_finding("clearance beyond travel", Severity::act, Certainty::proved, {a.owner, b.owner});
  MoverPair pair = c.pair;
  pair.travel = *travel_to_stops(context, a, b, pair.travel);
  const auto contact = clearance::query_clearance(*a.solid, *b.solid, pair.travel.travel);
  finding.pose = full_pose(pair.travel, contact.pose);
  finding.what = a.owner + " hits " + b.owner +
                 " between the soft travel and the hard stops: while homing, or when an axis "
                 "overruns";
  if (context.options.findings_only) return finding;
  const auto move = least_move(std::array{pair}, 0.0);
  finding.advice = move ? "move " + place_in_plan(context, move->moves_a ? a.owner : b.owner) +
                              " by " + context.at_least(move->distance_mm) + " towards " +
                              direction_text(move->direction)
                        : "set the hard stops nearer to the soft travel than " +
                              context.length(c.result.lower_mm);
  return finding;
}

}  // namespace

clearance::MovingPair moving_pair(const Mover& a, const Mover& b) {
  clearance::MovingPair pair{a.solid.get(), b.solid.get(), {}};
  for (std::size_t j = 0; j < a.motion.size(); ++j) {
    pair.directions.push_back(a.motion[j] - b.motion[j]);
  }
  return pair;
}

ClearanceCheck check_clearance(const Context& context, const std::vector<Mover>& movers) {
  ClearanceCheck check;
  std::vector<Candidate> candidates;
  for (std::size_t i = 0; i < movers.size(); ++i) {
    for (std::size_t k = i + 1; k < movers.size(); ++k) {
      auto pair = pair_travel(context, movers[i], movers[k]);
      if (!pair) continue;
      if (auto why = touching_by_design(context, movers[i], movers[k])) {
        const TouchingPair touching{movers[i].owner, movers[k].owner, *why};
        const bool listed = std::any_of(
            check.touching.begin(), check.touching.end(),
            [&](const TouchingPair& t) { return t.a == touching.a && t.b == touching.b; });
        if (!listed) check.touching.push_back(touching);
        continue;
      }
      candidates.push_back({{&movers[i], &movers[k], std::move(*pair)},
                            wanted_clearance(context, movers[i], movers[k]),
                            {}});
    }
  }

  Progress* progress = context.options.progress;
  if (progress != nullptr) progress->add_total(candidates.size());
  parallel_for(candidates.size(), context.options.threads, [&](std::size_t i) {
    if (is_cancelled(progress)) return;
    Candidate& c = candidates[i];
    c.result = clearance::query_clearance(*c.pair.a->solid, *c.pair.b->solid, c.pair.travel.travel,
                                          {.tolerance_mm = k_clearance_tolerance_mm});
    if (c.result.lower_mm > 0.0) {
      const auto hard = travel_to_stops(context, *c.pair.a, *c.pair.b, c.pair.travel);
      c.clear_to_stops = !hard || clearance::clearance_exceeds(*c.pair.a->solid, *c.pair.b->solid,
                                                               hard->travel, 0.0);
    }
    if (progress != nullptr) progress->step();
  });
  if (is_cancelled(progress)) return check;

  // The pieces of a chain are one thing to a person: the nearest stands for all.
  std::map<Owners, Candidate*> nearest;
  std::map<Owners, std::vector<MoverPair>> pieces;
  for (Candidate& c : candidates) {
    pieces[owners_of(c)].push_back(c.pair);
    Candidate*& best = nearest[owners_of(c)];
    if (best == nullptr || c.result.upper_mm < best->result.upper_mm) best = &c;
  }
  std::vector<Candidate*> order;
  for (Candidate& c : candidates) {
    if (nearest[owners_of(c)] == &c) order.push_back(&c);
  }
  std::stable_sort(order.begin(), order.end(), [](const Candidate* x, const Candidate* y) {
    return x->result.upper_mm < y->result.upper_mm;
  });

  std::vector<clearance::MovingPair> in_contact;
  std::vector<const Candidate*> too_near;
  for (const Candidate* c : order) {
    const auto pose = full_pose(c->pair.travel, c->result.pose);
    // The query works in the frame of b with all joints at zero; people see the machine at the
    // pose.
    Vec3 shift(0.0);
    for (std::size_t j = 0; j < pose.size(); ++j) shift += pose[j] * c->pair.b->motion[j];
    check.pairs.push_back({pair_name(*c->pair.a), pair_name(*c->pair.b), c->result.lower_mm,
                           c->result.upper_mm, c->wanted_mm, pose, c->result.point_a + shift,
                           c->result.point_b + shift});
    // A pair that keeps the wanted distance to within what the query resolves is good.
    const bool good =
        c->result.lower_mm > 0.0 && c->result.lower_mm + k_clearance_tolerance_mm >= c->wanted_mm;
    if (!good) too_near.push_back(c);
    if (c->result.lower_mm <= 0.0 && !c->pair.a->is_chain && !c->pair.b->is_chain) {
      in_contact.push_back(moving_pair(*c->pair.a, *c->pair.b));
    }
  }
  check.findings.resize(too_near.size());
  parallel_for(too_near.size(), context.options.threads, [&](std::size_t i) {
    check.findings[i] = describe(context, *too_near[i], pieces[owners_of(*too_near[i])]);
  });
  for (const Candidate& c : candidates) {
    if (!c.clear_to_stops) check.findings.push_back(describe_overrun(context, c));
  }

  if (context.options.findings_only) return check;
  std::vector<clearance::JointRange> joints;
  for (const plan::Joint& joint : context.machine.joints) {
    joints.push_back({joint.travel[0], joint.travel[1]});
  }
  const clearance::BlockedOptions options{.resolution_mm = context.options.blocked_resolution_mm,
                                          .threads = context.options.threads,
                                          .progress = progress};
  check.blocked = clearance::find_blocked_region(in_contact, joints, options);
  // A piece of a chain is there for a part of the travel only, so each has a region of its own.
  for (const Candidate& c : candidates) {
    const MoverPair& pair = c.pair;
    if (c.result.lower_mm > 0.0 || (!pair.a->is_chain && !pair.b->is_chain)) continue;
    std::vector<clearance::JointRange> there;
    for (const auto& range : pair.travel.range) there.push_back({range[0], range[1]});
    const auto region =
        clearance::find_blocked_region(std::array{moving_pair(*pair.a, *pair.b)}, there, options);
    // A union is at least its largest member and at most their sum.
    check.chains_blocked_lower = std::max(check.chains_blocked_lower, region.lower_volume);
    check.chains_blocked_upper += region.upper_volume;
  }
  return check;
}

}  // namespace bight::study
