#include "study/check_raised_chain.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <memory>

#include "base/number.h"
#include "base/parallel.h"
#include "base/tolerance.h"
#include "chain/reach_bodies.h"
#include "clearance/query.h"
#include "study/clearance_advice.h"

namespace bight::study {
namespace {

constexpr double k_far = std::numeric_limits<double>::infinity();
/// Shapes that are held against parts: more, and the check of one chain takes longer than all
/// others.
constexpr std::size_t k_most_shapes = 200;

std::vector<std::array<double, 2>> whole_travel(const Context& context) {
  std::vector<std::array<double, 2>> range;
  for (const plan::Joint& joint : context.machine.joints) range.push_back(joint.travel);
  return range;
}

Mover mover_of(const Context& context, const SimulatedChain& s, shape::Mesh mesh,
               std::vector<Vec3> motion, const std::array<double, 2>& interval) {
  auto range = whole_travel(context);
  range[s.frame.joint] = interval;
  return {.name = s.chain->name,
          .owner = s.chain->name,
          .is_chain = true,
          .minimum_clearance_mm = context.plan.rules.minimum_clearance,
          .motion = std::move(motion),
          .solid = std::make_shared<shape::Solid>(shape::make_solid(std::move(mesh))),
          .range = std::move(range)};
}

/// Wherever the links can be.
std::vector<Mover> reach_of(const Context& context, const SimulatedChain& s) {
  std::vector<Mover> movers;
  for (chain::ChainPiece& piece : chain::reach_bodies(*s.chain, context.machine, s.frame)) {
    movers.push_back(
        mover_of(context, s, std::move(piece.mesh), std::move(piece.motion), piece.interval));
  }
  return movers;
}

/// The links at poses of the chain's joint, each there at that value only.
std::vector<Mover> shapes_of(const Context& context, const SimulatedChain& s,
                             const std::vector<const chain::ChainShapePose*>& poses) {
  const machine::Machine& machine = context.machine;
  const auto& fixed = machine.bodies[machine.body_index(s.chain->fixed_body)].motion;
  std::vector<Mover> movers(poses.size());
  parallel_for(poses.size(), context.options.threads, [&](std::size_t i) {
    const double value = pose_of(context, s, poses[i]->moving_mm)[s.frame.joint];
    movers[i] = mover_of(context, s, chain::links_along(*s.chain, s.frame, poses[i]->shape.points),
                         fixed, {value, value});
  });
  return movers;
}

/// Poses with a shape, at most so many, both ends among them.
std::vector<const chain::ChainShapePose*> sample(const SimulatedChain& s) {
  std::vector<const chain::ChainShapePose*> all;
  for (const chain::ChainShapePose& pose : s.travel.poses) {
    if (pose.shape.has_shape()) all.push_back(&pose);
  }
  if (all.size() <= k_most_shapes) return all;
  std::vector<const chain::ChainShapePose*> some;
  for (std::size_t i = 0; i < k_most_shapes; ++i) {
    some.push_back(all[i * (all.size() - 1) / (k_most_shapes - 1)]);
  }
  return some;
}

std::vector<MoverPair> pairs_with(const Context& context, const std::vector<Mover>& movers,
                                  const Mover& target) {
  std::vector<MoverPair> pairs;
  for (const Mover& mover : movers) {
    if (auto travel = pair_travel(context, mover, target)) {
      pairs.push_back({&mover, &target, std::move(*travel)});
    }
  }
  return pairs;
}

/// Nearest approach to one thing that is not proved clear.
struct Approach {
  const Mover* target = nullptr;
  double wanted_mm = 0.0;
  double distance_mm = k_far;
  std::vector<double> pose;
};

/// What the check of one chain looks at.
struct Raised {
  const SimulatedChain* chain = nullptr;
  std::vector<Mover> reach;
  std::vector<const chain::ChainShapePose*> poses;
  std::vector<Mover> shapes;
  bool known_all_over = false;  ///< every pose of the travel has a shape
};

bool proved_clear(const Context& context, const Raised& raised, const Mover& target,
                  double wanted_mm) {
  // As near to the wanted distance as the query resolves is good.
  const double limit = std::max(0.0, wanted_mm - k_clearance_tolerance_mm);
  const std::vector<MoverPair> pairs = pairs_with(context, raised.reach, target);
  return !raised.reach.empty() &&
         std::all_of(pairs.begin(), pairs.end(), [&](const MoverPair& pair) {
           return clearance::clearance_exceeds(*pair.a->solid, *pair.b->solid, pair.travel.travel,
                                               limit);
         });
}

Approach nearest(const Context& context, const Raised& raised, const Mover& target,
                 double wanted_mm) {
  Approach approach{&target, wanted_mm, k_far, {}};
  for (const MoverPair& pair : pairs_with(context, raised.shapes, target)) {
    if (std::isfinite(approach.distance_mm) &&
        clearance::clearance_exceeds(*pair.a->solid, *pair.b->solid, pair.travel.travel,
                                     approach.distance_mm)) {
      continue;
    }
    const auto result =
        clearance::query_clearance(*pair.a->solid, *pair.b->solid, pair.travel.travel,
                                   {.tolerance_mm = k_clearance_tolerance_mm});
    // Not proved apart is contact: the attained distance may be a rounding error above zero.
    // A shape that is not exact may be nearer.
    const double off =
        raised.poses[static_cast<std::size_t>(pair.a - raised.shapes.data())]->shape.error_mm;
    const double distance = result.lower_mm <= 0.0 ? 0.0 : std::max(0.0, result.upper_mm - off);
    if (!(distance < approach.distance_mm)) continue;
    approach.distance_mm = distance;
    approach.pose = full_pose(pair.travel, result.pose);
  }
  return approach;
}

bool too_near(const Approach& approach) {
  return approach.distance_mm <= 0.0 ||
         approach.distance_mm + k_clearance_tolerance_mm < approach.wanted_mm;
}

Finding describe(const Context& context, const Raised& raised, const Approach& approach) {
  const SimulatedChain& s = *raised.chain;
  const Mover& target = *approach.target;
  const bool work = target.role == plan::Role::clamp || target.role == plan::Role::stock;
  const bool touches = approach.distance_mm <= 0.0;
  Finding finding =
      make_finding("chain clearance", touches && !work ? Severity::stop : Severity::act,
                   Certainty::sampled, {s.chain->name, target.owner});
  finding.pose = approach.pose;
  finding.poses = raised.poses.size();
  finding.limit = approach.wanted_mm;
  for (std::size_t i = 1; i < raised.poses.size(); ++i) {
    finding.step_mm =
        std::max(finding.step_mm, (raised.poses[i]->moving_mm - raised.poses[i - 1]->moving_mm) /
                                      std::abs(s.frame.rate));
  }
  const std::vector<MoverPair> anywhere = pairs_with(context, raised.reach, target);
  if (!too_near(approach)) {  // some poses have no shape
    finding.certainty = Certainty::sampled;
    finding.value = std::isfinite(approach.distance_mm) ? approach.distance_mm : 0.0;
    finding.what = s.chain->name + ": its links can come near to " + target.owner +
                   ", and where its shape is not known nothing keeps them " +
                   context.length(approach.wanted_mm) + " away";
  } else {
    finding.value = approach.distance_mm;
    finding.what =
        s.chain->name +
        (touches ? " hits " + target.owner
                 : " comes within " + context.length(approach.distance_mm) + " of " + target.owner +
                       ", " + context.length(approach.wanted_mm) + " wanted") +
        " in its simulated shape";
  }
  finding.advice = "mount its runs " + context.length(2.0 * s.chain->bend_radius) + " apart";
  if (!anywhere.empty() && !context.options.findings_only) {
    finding.advice += ", or " + clearance_advice(context, anywhere, approach.wanted_mm) +
                      ", whatever shape it takes";
  }
  return finding;
}

/// What is near to a chain: proved clear, or sampled.
void check_near(const Context& context, const Raised& raised, const std::vector<Mover>& movers,
                ChainNearFigures& figures, std::vector<Finding>& findings) {
  const Mover self{.name = raised.chain->chain->name,
                   .owner = raised.chain->chain->name,
                   .is_chain = true,
                   .minimum_clearance_mm = context.plan.rules.minimum_clearance};
  std::vector<const Mover*> targets;
  for (const Mover& mover : movers) {
    if (mover.owner != self.owner && !touching_by_design(context, self, mover)) {
      targets.push_back(&mover);
    }
  }
  std::vector<Approach> approaches(targets.size());
  std::vector<char> proved(targets.size(), 0);
  parallel_for(targets.size(), context.options.threads, [&](std::size_t i) {
    if (is_cancelled(context.options.progress)) return;
    const double wanted = wanted_clearance(context, self, *targets[i]);
    proved[i] = proved_clear(context, raised, *targets[i], wanted) ? 1 : 0;
    if (proved[i] == 0) approaches[i] = nearest(context, raised, *targets[i], wanted);
  });
  if (is_cancelled(context.options.progress)) return;
  // The pieces of another chain are one thing to a person: the nearest stands for all.
  std::vector<const Approach*> open;
  for (std::size_t i = 0; i < targets.size(); ++i) {
    if (proved[i] != 0) continue;
    const auto same = std::find_if(open.begin(), open.end(), [&](const Approach* a) {
      return a->target->owner == targets[i]->owner;
    });
    if (same == open.end()) {
      open.push_back(&approaches[i]);
    } else if (approaches[i].distance_mm < (*same)->distance_mm) {
      *same = &approaches[i];
    }
  }
  for (std::size_t i = 0; i < targets.size(); ++i) {
    const bool also_open = std::any_of(open.begin(), open.end(), [&](const Approach* a) {
      return a->target->owner == targets[i]->owner;
    });
    const bool counted = std::any_of(targets.begin(), targets.begin() + static_cast<long>(i),
                                     [&](const Mover* t) { return t->owner == targets[i]->owner; });
    if (!also_open && !counted) ++figures.proved_clear;
  }
  const Approach* closest = nullptr;
  for (const Approach* approach : open) {
    ++figures.sampled;
    const double margin = approach->distance_mm - approach->wanted_mm;
    if (!closest || margin < closest->distance_mm - closest->wanted_mm) closest = approach;
    if (too_near(*approach) || !raised.known_all_over) {
      findings.push_back(describe(context, raised, *approach));
    }
  }
  if (closest == nullptr || !std::isfinite(closest->distance_mm)) return;
  figures.clearance_to = closest->target->owner;
  figures.clearance_mm = closest->distance_mm;
  figures.clearance_wanted_mm = closest->wanted_mm;
  figures.clearance_pose = closest->pose;
}

/// How its clearances are known, in a few words.
std::string certainty_text(const Raised& raised, const ChainNearFigures& near) {
  const auto things = [](std::size_t n) {
    return std::to_string(n) + (n == 1 ? " thing" : " things");
  };
  std::string text;
  if (near.proved_clear > 0) text = "proved clear of " + things(near.proved_clear);
  if (near.sampled > 0) {
    text += (text.empty() ? "" : ", ") + std::string("held against ") + things(near.sampled) +
            " at " + std::to_string(raised.poses.size()) + " poses";
  }
  return text.empty() ? "nothing is near to it" : text;
}

/// The room that it takes beyond its brackets, and that it is not the loop that makers rate.
Finding describe_room(const Context& context, const Raised& raised, const ChainNearFigures& near) {
  const SimulatedChain& s = *raised.chain;
  const auto* worst = worst_pose(s, [&](const auto& pose) { return room_used(s, pose); });
  const double room = room_used(s, *worst);
  const bool too_far = s.chain->room && room > *s.chain->room + k_length_equal_mm;
  Finding finding =
      finding_of(context, s, too_far ? Severity::act : Severity::note, *worst, "chain shape");
  finding.what = s.chain->name + ": mounted " +
                 context.length(s.frame.height_mm - 2.0 * s.chain->bend_radius) +
                 " higher than 2 x bend radius it takes up to " + context.length(room) +
                 " beyond the brackets" +
                 (too_far ? ", " + context.length(*s.chain->room) + " are free" : "") + "; " +
                 certainty_text(raised, near) +
                 "; hanging lines and other chains mounted so are not held against it";
  finding.value = room;
  finding.limit = s.chain->room.value_or(0.0);
  finding.advice = "mount the runs " + context.length(2.0 * s.chain->bend_radius) +
                   " apart: then it rolls as its maker rates it and its clearances are proved";
  if (too_far) {
    finding.advice += ", or make room for " + context.length(room - *s.chain->room) + " more";
  }
  return finding;
}

/// No shape all over the travel: nobody can say that it works.
Finding describe_mounting(const Context& context, const SimulatedChain& s) {
  Finding finding =
      make_finding("chain mounting", Severity::stop, Certainty::formula, {s.chain->name});
  finding.what = s.chain->name + ": " + s.frame.problem +
                 (s.travel.poses.empty() ? ", and without its weight its shape is not known"
                                         : ", and its shape is not known all over its travel");
  finding.value = s.frame.height_mm;
  finding.limit = 2.0 * s.chain->bend_radius;
  finding.advice = "move one bracket by " + context.length(finding.value - finding.limit) +
                   " so that the runs lie " + context.length(finding.limit) +
                   " apart (2 x bend radius), or take a bend radius of " +
                   context.length(finding.value / 2.0);
  return finding;
}

}  // namespace

RaisedChainCheck check_raised_chains(const Context& context,
                                     const std::vector<std::optional<SimulatedChain>>& simulated,
                                     const std::vector<Mover>& movers) {
  RaisedChainCheck check;
  check.near.resize(simulated.size());
  for (std::size_t i = 0; i < simulated.size(); ++i) {
    if (!simulated[i] || !is_raised(*simulated[i])) continue;
    const SimulatedChain& s = *simulated[i];
    Raised raised{&s, reach_of(context, s), sample(s), {}, false};
    raised.shapes = shapes_of(context, s, raised.poses);
    raised.known_all_over =
        !s.travel.poses.empty() &&
        std::all_of(s.travel.poses.begin(), s.travel.poses.end(),
                    [](const chain::ChainShapePose& pose) { return pose.shape.has_shape(); });
    ChainNearFigures near;
    std::vector<Finding> findings;
    check_near(context, raised, movers, near, findings);
    if (!raised.known_all_over) check.findings.push_back(describe_mounting(context, s));
    if (!raised.poses.empty()) check.findings.push_back(describe_room(context, raised, near));
    append(check.findings, std::move(findings));
    check.near[i] = std::move(near);
  }
  return check;
}

}  // namespace bight::study
