#include "study/check_clearance.h"

#include <algorithm>
#include <map>

#include "base/parallel.h"
#include "base/tolerance.h"
#include "clearance/query.h"
#include "study/clearance_advice.h"

namespace bight::study {
namespace {

struct Candidate {
  const Mover* a = nullptr;
  const Mover* b = nullptr;
  PairTravel pair;
  double wanted_mm = 0.0;
  clearance::QueryResult result;
};

/// A part's own wish replaces the rule's; of two wishes the larger counts.
double wanted_clearance(const Context& context, const Mover& a, const Mover& b) {
  const double rule = context.plan.rules.minimum_clearance;
  if (a.minimum_clearance_mm == rule) return b.minimum_clearance_mm;
  if (b.minimum_clearance_mm == rule) return a.minimum_clearance_mm;
  return std::max(a.minimum_clearance_mm, b.minimum_clearance_mm);
}

/// Work and its holding are changed from job to job: the program has to stay out of them, which a
/// dry run proves. Everything else must never be hit.
bool is_work(const Mover& mover) {
  return mover.role == plan::Role::clamp || mover.role == plan::Role::stock;
}

std::string pair_name(const Mover& mover) {
  return mover.is_chain ? mover.name : mover.owner;
}

Finding describe(const Context& context, const Candidate& c) {
  const Mover& a = *c.a;
  const Mover& b = *c.b;
  // Not proved apart is contact: the attained distance may be a rounding error above zero.
  const bool contact = c.result.lower_mm <= 0.0;
  Finding finding = make_finding(
      "clearance", contact && !is_work(a) && !is_work(b) ? Severity::stop : Severity::act,
      Certainty::proved, {a.owner, b.owner});
  finding.pose = full_pose(c.pair, c.result.pose);
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
  finding.advice = clearance_advice(context, a, b, c.pair, c.wanted_mm);
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
      candidates.push_back({&movers[i],
                            &movers[k],
                            std::move(*pair),
                            wanted_clearance(context, movers[i], movers[k]),
                            {}});
    }
  }

  Progress* progress = context.options.progress;
  if (progress != nullptr) progress->add_total(candidates.size());
  parallel_for(candidates.size(), context.options.threads, [&](std::size_t i) {
    if (is_cancelled(progress)) return;
    Candidate& c = candidates[i];
    c.result = clearance::query_clearance(*c.a->solid, *c.b->solid, c.pair.travel,
                                          {.tolerance_mm = k_clearance_tolerance_mm});
    if (progress != nullptr) progress->step();
  });
  if (is_cancelled(progress)) return check;

  // The pieces of a chain are one thing to a person: the nearest stands for all.
  std::map<std::pair<std::string, std::string>, Candidate*> nearest;
  for (Candidate& c : candidates) {
    Candidate*& best = nearest[{c.a->owner, c.b->owner}];
    if (best == nullptr || c.result.upper_mm < best->result.upper_mm) best = &c;
  }
  std::vector<Candidate*> order;
  for (Candidate& c : candidates) {
    if (nearest[{c.a->owner, c.b->owner}] == &c) order.push_back(&c);
  }
  std::stable_sort(order.begin(), order.end(), [](const Candidate* x, const Candidate* y) {
    return x->result.upper_mm < y->result.upper_mm;
  });

  std::vector<clearance::MovingPair> in_contact;
  std::vector<const Candidate*> too_near;
  for (const Candidate* c : order) {
    const auto pose = full_pose(c->pair, c->result.pose);
    // The query works in the frame of b with all joints at zero; people see the machine at the
    // pose.
    Vec3 shift(0.0);
    for (std::size_t j = 0; j < pose.size(); ++j) shift += pose[j] * c->b->motion[j];
    check.pairs.push_back({pair_name(*c->a), pair_name(*c->b), c->result.lower_mm,
                           c->result.upper_mm, c->wanted_mm, pose, c->result.point_a + shift,
                           c->result.point_b + shift});
    // A pair that keeps the wanted distance to within what the query resolves is good.
    const bool good =
        c->result.lower_mm > 0.0 && c->result.lower_mm + k_clearance_tolerance_mm >= c->wanted_mm;
    if (!good) too_near.push_back(c);
    if (c->result.lower_mm <= 0.0 && !c->a->is_chain && !c->b->is_chain) {
      in_contact.push_back(moving_pair(*c->a, *c->b));
    }
  }
  check.findings.resize(too_near.size());
  parallel_for(too_near.size(), context.options.threads,
               [&](std::size_t i) { check.findings[i] = describe(context, *too_near[i]); });

  std::vector<clearance::JointRange> joints;
  for (const plan::Joint& joint : context.machine.joints) {
    joints.push_back({joint.travel[0], joint.travel[1]});
  }
  check.blocked =
      clearance::find_blocked_region(in_contact, joints,
                                     {.resolution_mm = context.options.blocked_resolution_mm,
                                      .threads = context.options.threads,
                                      .progress = progress});
  return check;
}

}  // namespace bight::study
