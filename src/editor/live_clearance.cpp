#include "editor/live_clearance.h"

#include <algorithm>
#include <map>
#include <optional>
#include <utility>

#include "base/number.h"
#include "base/parallel.h"
#include "base/tolerance.h"
#include "clearance/query.h"

namespace bight::editor {
namespace {

using study::Mover;

bool same_solid(const Mover& a, const Mover& b) {
  if (a.solid == b.solid) return true;
  const shape::Mesh& x = a.solid->mesh;
  const shape::Mesh& y = b.solid->mesh;
  return x.triangles == y.triangles && x.vertices == y.vertices;
}

bool same_mover(const Mover& a, const Mover& b) {
  return a.name == b.name && a.owner == b.owner && a.body == b.body && a.role == b.role &&
         a.minimum_clearance_mm == b.minimum_clearance_mm && a.motion == b.motion &&
         a.range == b.range && same_solid(a, b);
}

/// Everything but the movers that a pair's verdict depends on.
std::vector<std::string> rules_of(const study::Context& context) {
  std::vector<std::string> rules = {shortest(context.plan.rules.minimum_clearance),
                                    context.plan.inches ? "in" : "mm"};
  for (const plan::Touching& t : context.machine.touching) {
    rules.insert(rules.end(), {t.between[0], t.between[1]});
  }
  for (const plan::Chain& chain : context.plan.chains) {
    rules.push_back(chain.name);
    rules.insert(rules.end(), chain.may_touch.begin(), chain.may_touch.end());
  }
  for (const plan::Joint& joint : context.machine.joints) {
    rules.push_back(joint.name + " " + shortest(joint.travel[0]) + " " + shortest(joint.travel[1]));
  }
  return rules;
}

bool is_work(const Mover& mover) {
  return mover.role == plan::Role::clamp || mover.role == plan::Role::stock;
}

std::string pair_name(const Mover& mover) {
  return mover.is_chain ? mover.name : mover.owner;
}

study::Finding describe(const study::Context& context, const Mover& a, const Mover& b,
                        const study::ClearancePair& pair, bool contained) {
  const bool contact = pair.lower_mm <= 0.0;
  const bool work = is_work(a) || is_work(b);
  study::Finding finding = study::make_finding(
      "clearance", contact && !work ? study::Severity::stop : study::Severity::act,
      study::Certainty::proved, {a.owner, b.owner});
  finding.pose = pair.pose;
  finding.value = contact ? 0.0 : pair.upper_mm;
  finding.limit = pair.wanted_mm;
  finding.what = contact
                     ? pair.a + (contained ? " is inside " : " hits ") + pair.b +
                           " within the travel" + (work ? ": a program has to stay out of it" : "")
                     : pair.a + " comes within " + context.length(pair.upper_mm, 2) + " of " +
                           pair.b + ", " + context.length(pair.wanted_mm) + " wanted";
  return finding;
}

}  // namespace

LivePairs LiveClearance::check(const study::Context& context, std::vector<Mover> movers) {
  const std::size_t count = movers.size();
  const auto slot = [](std::size_t n, std::size_t i, std::size_t k) {
    return i * n - i * (i + 1) / 2 + (k - i - 1);
  };
  std::vector<std::string> rules = rules_of(context);
  // Where each mover was in the last call, if it is the same.
  std::vector<std::optional<std::size_t>> before(count);
  if (rules == rules_) {
    std::map<std::string, std::vector<std::size_t>> by_name;
    for (std::size_t i = movers_.size(); i-- > 0;) by_name[movers_[i].name].push_back(i);
    for (std::size_t i = 0; i < count; ++i) {
      auto& candidates = by_name[movers[i].name];
      if (candidates.empty()) continue;
      const std::size_t old = candidates.back();
      candidates.pop_back();
      if (same_mover(movers_[old], movers[i])) before[i] = old;
    }
  }
  LivePairs result;
  std::vector<Known> known(count < 2 ? 0 : count * (count - 1) / 2);
  std::vector<std::pair<std::size_t, std::size_t>> open;
  for (std::size_t i = 0; i < count; ++i) {
    for (std::size_t k = i + 1; k < count; ++k) {
      if (before[i] && before[k] && *before[i] < *before[k]) {
        known[slot(count, i, k)] = std::move(known_[slot(movers_.size(), *before[i], *before[k])]);
      } else {
        open.emplace_back(i, k);
      }
    }
  }
  parallel_for(open.size(), context.options.threads, [&](std::size_t n) {
    const auto [i, k] = open[n];
    const Mover& a = movers[i];
    const Mover& b = movers[k];
    Known& found = known[slot(count, i, k)];
    const auto travel = study::pair_travel(context, a, b);
    if (!travel || study::touching_by_design(context, a, b)) return;
    const auto query = clearance::query_clearance(*a.solid, *b.solid, travel->travel,
                                                  {.tolerance_mm = k_clearance_tolerance_mm});
    found.checked = true;
    found.contained = query.contained;
    const auto pose = study::full_pose(*travel, query.pose);
    Vec3 shift(0.0);
    for (std::size_t j = 0; j < pose.size(); ++j) shift += pose[j] * b.motion[j];
    found.pair = {pair_name(a),
                  pair_name(b),
                  query.lower_mm,
                  query.upper_mm,
                  study::wanted_clearance(context, a, b),
                  pose,
                  query.point_a + shift,
                  query.point_b + shift};
  });

  // The pieces of a chain are one thing to a person: the nearest stands for all.
  struct Nearest {
    std::size_t i = 0;
    std::size_t k = 0;
    const Known* known = nullptr;
  };
  std::vector<Nearest> nearest;
  std::map<std::pair<std::string, std::string>, std::size_t> of_owners;
  for (std::size_t i = 0; i < count; ++i) {
    for (std::size_t k = i + 1; k < count; ++k) {
      const Known& here = known[slot(count, i, k)];
      if (!here.checked) continue;
      const auto [it, fresh] =
          of_owners.try_emplace({movers[i].owner, movers[k].owner}, nearest.size());
      if (fresh) {
        nearest.push_back({i, k, &here});
      } else if (here.pair.upper_mm < nearest[it->second].known->pair.upper_mm) {
        nearest[it->second] = {i, k, &here};
      }
    }
  }
  std::stable_sort(nearest.begin(), nearest.end(), [](const Nearest& a, const Nearest& b) {
    return a.known->pair.upper_mm < b.known->pair.upper_mm;
  });
  for (const Nearest& n : nearest) {
    const study::ClearancePair& pair = n.known->pair;
    result.pairs.push_back(pair);
    const bool good =
        pair.lower_mm > 0.0 && pair.lower_mm + k_clearance_tolerance_mm >= pair.wanted_mm;
    if (good) continue;
    result.findings.push_back(
        describe(context, movers[n.i], movers[n.k], pair, n.known->contained));
  }
  result.computed = open.size();
  movers_ = std::move(movers);
  known_ = std::move(known);
  rules_ = std::move(rules);
  return result;
}

}  // namespace bight::editor
