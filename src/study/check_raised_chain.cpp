#include "study/check_raised_chain.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <utility>

#include "base/counted.h"
#include "base/parallel.h"
#include "base/tolerance.h"
#include "clearance/query.h"
#include "study/clearance_advice.h"
#include "study/free_run_refine.h"

namespace bight::study {
namespace {

constexpr double k_far = std::numeric_limits<double>::infinity();
/// Values of each of two joints that are sampled together.
constexpr std::size_t k_most_of_two = 40;
constexpr double k_refined_step_mm = 1.0;  ///< the local search ends at this step

/// A raised chain and what it could come near to: a mover, or another raised chain.
struct Meeting {
  const RaisedChain* chain = nullptr;
  const Mover* mover = nullptr;
  const RaisedChain* other = nullptr;

  const Mover& thing() const { return other ? other->self() : *mover; }
  bool one_joint() const { return !other || other->joint() == chain->joint(); }
  bool concerns(const RaisedChain& one) const { return chain == &one || other == &one; }
  /// What a person calls the other one of the two.
  const std::string& met_by(const RaisedChain& one) const {
    return (other == &one ? chain->self() : thing()).owner;
  }
};

/// Nearest approach of the simulated links.
struct Approach {
  Meeting meeting;
  double wanted_mm = 0.0;
  bool proved = false;  ///< clear, whatever the chains do: then the rest is not set
  double distance_mm = k_far;
  std::vector<double> pose;
  std::size_t poses = 0;  ///< at which it was held against the thing
  double step_mm = 0.0;   ///< largest between neighbours
  bool settled = true;    ///< no doubt is left between them
};

/// Where the links can be against the thing, or against where its links can be.
std::vector<MoverPair> pairs_anywhere(const Context& context, const Meeting& meeting) {
  std::vector<MoverPair> pairs;
  const auto add = [&](const Mover& piece, const Mover& thing) {
    if (auto travel = pair_travel(context, piece, thing)) {
      pairs.push_back({&piece, &thing, std::move(*travel)});
    }
  };
  for (const Mover& piece : meeting.chain->reach()) {
    if (meeting.mover) add(piece, *meeting.mover);
    if (!meeting.other) continue;
    for (const Mover& other : meeting.other->reach()) add(piece, other);
  }
  return pairs;
}

bool proved_clear(const Context& context, const Meeting& meeting, double wanted_mm) {
  if (meeting.chain->reach().empty()) return false;
  if (meeting.other && meeting.other->reach().empty()) return false;
  // As near to the wanted distance as the query resolves is good.
  const double limit = std::max(0.0, wanted_mm - k_clearance_tolerance_mm);
  const std::vector<MoverPair> pairs = pairs_anywhere(context, meeting);
  return std::all_of(pairs.begin(), pairs.end(), [&](const MoverPair& pair) {
    return clearance::clearance_exceeds(*pair.a->solid, *pair.b->solid, pair.travel.travel, limit);
  });
}

/// The links as a thing that is there at one value of the chain's joint only.
Mover links_mover(const RaisedChain& chain, double value, const RaisedChain::Links& links) {
  Mover mover = chain.self();
  mover.solid = links.solid;
  mover.range[chain.joint()] = {value, value};
  return mover;
}

/// Values of the two chains' joints; the second is not used where there is one chain, and equal to
/// the first where both have the same joint.
using Values = std::array<double, 2>;

/// Holds the links at these values against the thing, over the travel of all other joints, and
/// keeps what is nearest. How near it is, or infinity: farther than `within` and than the nearest,
/// or not there. Nothing where a shape is not known.
std::optional<double> look(const Context& context, const Meeting& meeting, const Values& values,
                           double within, Approach& nearest) {
  const RaisedChain::Links links = meeting.chain->links_at(values[0]);
  if (links.solid == nullptr) return {};
  const Mover a = links_mover(*meeting.chain, values[0], links);
  Mover b = meeting.thing();
  double error = links.error_mm;
  if (meeting.other) {
    const RaisedChain::Links others = meeting.other->links_at(values[1]);
    if (others.solid == nullptr) return {};
    b = links_mover(*meeting.other, values[1], others);
    error += others.error_mm;
  }
  const std::optional<PairTravel> pair = pair_travel(context, a, b);
  if (!pair) return k_far;  // a piece that is there at other values only
  // Where it touches, how near it is elsewhere does not matter.
  const double matters = nearest.distance_mm <= 0.0 ? 0.0 : std::max(within, nearest.distance_mm);
  if (std::isfinite(matters) &&
      clearance::clearance_exceeds(*a.solid, *b.solid, pair->travel, matters + error)) {
    return k_far;
  }
  const auto result = clearance::query_clearance(*a.solid, *b.solid, pair->travel,
                                                 {.tolerance_mm = k_clearance_tolerance_mm});
  // Not proved apart is contact: the attained distance may be a rounding error above zero. A shape
  // that is not exact may be nearer.
  const double distance = result.lower_mm <= 0.0 ? 0.0 : std::max(0.0, result.upper_mm - error);
  if (distance < nearest.distance_mm) {
    nearest.distance_mm = distance;
    nearest.pose = full_pose(*pair, result.pose);
  }
  return distance;
}

/// From the pose that was found nearest, the step halved when nothing gets nearer. Not for rods,
/// which take long at each new value.
void refine(const Context& context, const Meeting& meeting, Approach& approach) {
  if (approach.pose.empty() || meeting.chain->by_rod()) return;
  if (meeting.other && meeting.other->by_rod()) return;
  const auto& joints = context.machine.joints;
  std::vector<std::size_t> searched{meeting.chain->joint()};
  if (!meeting.one_joint()) searched.push_back(meeting.other->joint());
  double by = 0.5 * approach.step_mm;
  while (by >= k_refined_step_mm && approach.distance_mm > 0.0) {
    for (const std::size_t j : searched) {
      for (const double sign : {1.0, -1.0}) {
        std::vector<double> pose = approach.pose;
        pose[j] = std::clamp(pose[j] + sign * by, joints[j].travel[0], joints[j].travel[1]);
        look(context, meeting,
             {pose[meeting.chain->joint()], meeting.other ? pose[meeting.other->joint()] : 0.0},
             0.0, approach);
      }
    }
    by *= 0.5;
  }
}

bool known_all_over(const Meeting& meeting) {
  return meeting.chain->known_all_over() && (!meeting.other || meeting.other->known_all_over());
}

/// How fast links and thing come nearer at most, over a joint of one of the chains: links go about
/// as far as their bracket, and the thing may go the other way.
double rate_of(const Meeting& meeting) {
  if (meeting.other) return 2.0;
  const std::size_t joint = meeting.chain->joint();
  return 1.0 + glm::length(meeting.thing().motion[joint] - meeting.chain->self().motion[joint]);
}

/// Steps that let a bend, half as fast as its joint, pass by no more than half a link's height.
double noticed_step(const Meeting& meeting) {
  const double height = meeting.chain->simulated().chain->outer_height;
  if (!meeting.other) return height;
  return std::min(height, meeting.other->simulated().chain->outer_height);
}

/// Values of the joint of the chain, and of the other chain's where that is another one.
PoseGrid first_grid(const Meeting& meeting) {
  PoseGrid grid;
  grid.values.push_back(meeting.chain->values());
  if (meeting.other && meeting.one_joint()) {
    std::vector<double>& values = grid.values[0];
    const std::vector<double>& more = meeting.other->values();
    values.insert(values.end(), more.begin(), more.end());
    std::sort(values.begin(), values.end());
    const auto same = [](double a, double b) { return b - a <= k_length_equal_mm; };
    values.erase(std::unique(values.begin(), values.end(), same), values.end());
  } else if (meeting.other) {
    grid.values[0] = thinned(std::move(grid.values[0]), k_most_of_two);
    grid.values.push_back(thinned(meeting.other->values(), k_most_of_two));
  }
  grid.step_mm = largest_step(grid);
  return grid;
}

/// Looks at a grid of values, closer where the wanted clearance could be lost between them.
void sample(const Context& context, Approach& approach) {
  const Meeting& meeting = approach.meeting;
  PoseGrid grid = first_grid(meeting);
  if (grid.size() == 0) {  // no shape is known
    approach.settled = false;
    return;
  }
  const std::size_t most = 2 * grid.size();
  const Passing passing{rate_of(meeting), noticed_step(meeting)};
  // Farther off than this at one of two neighbours and as wanted at the other is enough.
  const double within = approach.wanted_mm + passing.rate * grid.step_mm;
  std::map<Values, std::optional<double>> seen;
  bool all_known = true;
  while (!is_cancelled(context.options.progress)) {
    std::vector<double> left_of_wanted;
    std::vector<double> left_to_touch;
    for (std::size_t p = 0; p < grid.size(); ++p) {
      const std::vector<double> at = grid.pose(p);
      const Values values{at.front(), at.back()};
      auto known = seen.find(values);
      if (known == seen.end()) {
        known = seen.emplace(values, look(context, meeting, values, within, approach)).first;
        approach.poses += known->second ? 1 : 0;
        all_known = all_known && known->second;
      }
      const double distance = known->second.value_or(k_far);
      left_of_wanted.push_back(distance - approach.wanted_mm + k_clearance_tolerance_mm);
      left_to_touch.push_back(distance - k_clearance_tolerance_mm);
    }
    CloserGrid closer = closer_grid(grid, {left_of_wanted, left_to_touch}, most, passing);
    if (closer.grid.size() == grid.size()) {
      approach.settled = closer.settled && all_known && known_all_over(meeting);
      break;
    }
    grid = std::move(closer.grid);
  }
  approach.step_mm = grid.step_mm;
  refine(context, meeting, approach);
}

std::vector<Approach> approaches_of(const Context& context, const std::vector<RaisedChain>& chains,
                                    const std::vector<Mover>& movers) {
  std::vector<Approach> approaches;
  const auto add = [&](const Meeting& meeting) {
    const Mover& self = meeting.chain->self();
    if (meeting.thing().owner == self.owner) return;
    if (touching_by_design(context, self, meeting.thing())) return;
    approaches.push_back({meeting, wanted_clearance(context, self, meeting.thing())});
  };
  for (std::size_t i = 0; i < chains.size(); ++i) {
    for (const Mover& mover : movers) add({&chains[i], &mover, nullptr});
    for (std::size_t k = i + 1; k < chains.size(); ++k) add({&chains[i], nullptr, &chains[k]});
  }
  parallel_for(approaches.size(), context.options.threads, [&](std::size_t i) {
    if (is_cancelled(context.options.progress)) return;
    Approach& approach = approaches[i];
    approach.proved = proved_clear(context, approach.meeting, approach.wanted_mm);
    if (!approach.proved) sample(context, approach);
  });
  return approaches;
}

bool too_near(const Approach& approach) {
  return approach.distance_mm <= 0.0 ||
         approach.distance_mm + k_clearance_tolerance_mm < approach.wanted_mm;
}

/// "X chain", "X chain or Z chain": whose shape is not known at every pose.
std::string unknown_ones(const Meeting& meeting) {
  std::string names;
  for (const RaisedChain* chain : {meeting.chain, meeting.other}) {
    if (chain == nullptr || chain->known_all_over()) continue;
    names += (names.empty() ? "" : " or ") + chain->self().name;
  }
  return names;
}

Finding describe(const Context& context, const Approach& approach) {
  const Meeting& meeting = approach.meeting;
  const SimulatedChain& s = meeting.chain->simulated();
  const Mover& thing = meeting.thing();
  const bool work = thing.role == plan::Role::clamp || thing.role == plan::Role::stock;
  const bool touches = approach.distance_mm <= 0.0;
  Finding finding = make_finding(
      "chain clearance", touches && !work ? Severity::stop : Severity::act,
      approach.poses > 0 ? Certainty::sampled : Certainty::formula, {s.chain->name, thing.owner});
  finding.pose = approach.pose;
  finding.poses = approach.poses;
  finding.step_mm = approach.step_mm;
  finding.limit = approach.wanted_mm;
  if (!too_near(approach)) {  // some poses have no shape
    finding.value = std::isfinite(approach.distance_mm) ? approach.distance_mm : 0.0;
    finding.what = s.chain->name + ": its links can come near to " + thing.owner +
                   ", and where the shape of " + unknown_ones(meeting) +
                   " is not known nothing keeps them " + context.length(approach.wanted_mm) +
                   " away";
  } else {
    finding.value = approach.distance_mm;
    finding.what =
        s.chain->name +
        (touches ? " hits " + thing.owner
                 : " comes within " + context.length(approach.distance_mm) + " of " + thing.owner +
                       ", " + context.length(approach.wanted_mm) + " wanted") +
        (meeting.other ? ", both in their simulated shapes" : " in its simulated shape");
  }
  finding.advice = "mount its runs " + context.length(2.0 * s.chain->bend_radius) + " apart";
  if (meeting.other) {
    const double two_radii = 2.0 * meeting.other->simulated().chain->bend_radius;
    finding.advice += " and those of " + thing.owner + " " + context.length(two_radii);
  }
  const std::vector<MoverPair> anywhere = pairs_anywhere(context, meeting);
  if (!anywhere.empty() && !context.options.findings_only) {
    finding.advice += ", or " + clearance_advice(context, anywhere, approach.wanted_mm) +
                      ", whatever shape " + (meeting.other ? "they take" : "it takes");
  }
  return finding;
}

/// What is near to a chain: the pieces of another chain are one thing to a person, so the nearest
/// stands for all.
std::vector<const Approach*> one_each(const std::vector<Approach>& approaches,
                                      const RaisedChain& chain) {
  const auto worse = [](const Approach& a, const Approach& b) {
    if (a.proved != b.proved) return b.proved;
    return a.distance_mm < b.distance_mm;
  };
  std::vector<const Approach*> nearest;
  for (const Approach& approach : approaches) {
    if (!approach.meeting.concerns(chain)) continue;
    const auto same = std::find_if(nearest.begin(), nearest.end(), [&](const Approach* a) {
      return a->meeting.met_by(chain) == approach.meeting.met_by(chain);
    });
    if (same == nearest.end()) {
      nearest.push_back(&approach);
    } else if (worse(approach, **same)) {
      *same = &approach;
    }
  }
  return nearest;
}

ChainNearFigures figures_of(const std::vector<Approach>& approaches,
                            const std::vector<const Approach*>& nearest, const RaisedChain& chain) {
  ChainNearFigures figures;
  figures.settled = std::all_of(approaches.begin(), approaches.end(), [&](const Approach& a) {
    return !a.meeting.concerns(chain) || a.proved || a.settled;
  });
  const Approach* closest = nullptr;
  for (const Approach* approach : nearest) {
    ++(approach->proved ? figures.proved_clear : figures.sampled);
    if (approach->proved) continue;
    const double margin = approach->distance_mm - approach->wanted_mm;
    if (!closest || margin < closest->distance_mm - closest->wanted_mm) closest = approach;
  }
  if (closest == nullptr || !std::isfinite(closest->distance_mm)) return figures;
  figures.clearance_to = closest->meeting.met_by(chain);
  figures.clearance_mm = closest->distance_mm;
  figures.clearance_wanted_mm = closest->wanted_mm;
  figures.clearance_pose = closest->pose;
  figures.poses = closest->poses;
  figures.step_mm = closest->step_mm;
  return figures;
}

/// How its clearances are known, in a few words.
std::string certainty_text(const std::vector<const Approach*>& nearest) {
  const auto things = [](std::size_t n) { return counted(n, "thing", "things"); };
  std::size_t proved = 0;
  std::size_t held = 0;
  std::size_t unknown = 0;  // no shape to hold against it
  std::size_t least = 0;
  std::size_t most = 0;
  for (const Approach* approach : nearest) {
    ++(approach->proved ? proved : approach->poses > 0 ? held : unknown);
    if (approach->proved || approach->poses == 0) continue;
    least = held == 1 ? approach->poses : std::min(least, approach->poses);
    most = std::max(most, approach->poses);
  }
  std::vector<std::string> parts;
  if (proved > 0) parts.push_back("proved clear of " + things(proved));
  if (held > 0) {
    parts.push_back("held against " + things(held) + " at " +
                    (least < most ? std::to_string(least) + " to " : "") +
                    counted(most, "pose", "poses"));
  }
  if (unknown > 0) parts.push_back("not held against " + things(unknown));
  std::string text;
  for (const std::string& part : parts) text += (text.empty() ? "" : ", ") + part;
  return text.empty() ? "nothing is near to it" : text;
}

/// The room that it takes beyond its brackets, and that it is not the loop that makers rate.
Finding describe_room(const Context& context, const RaisedChain& raised,
                      const std::vector<const Approach*>& nearest) {
  const SimulatedChain& s = raised.simulated();
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
                 certainty_text(nearest);
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
                                     const std::vector<RaisedChain>& raised,
                                     const std::vector<Mover>& movers) {
  RaisedChainCheck check;
  check.near.resize(simulated.size());
  const std::vector<Approach> approaches = approaches_of(context, raised, movers);
  if (is_cancelled(context.options.progress)) return check;
  for (const RaisedChain& chain : raised) {
    const std::vector<const Approach*> nearest = one_each(approaches, chain);
    const ChainNearFigures near = figures_of(approaches, nearest, chain);
    if (!chain.known_all_over()) {
      check.findings.push_back(describe_mounting(context, chain.simulated()));
    }
    if (!chain.values().empty()) check.findings.push_back(describe_room(context, chain, nearest));
    for (const Approach* approach : nearest) {
      // Of two chains the first one tells.
      if (approach->proved || approach->meeting.chain != &chain) continue;
      if (too_near(*approach) || !known_all_over(approach->meeting)) {
        check.findings.push_back(describe(context, *approach));
      }
    }
    for (std::size_t i = 0; i < simulated.size(); ++i) {
      if (simulated[i] && &*simulated[i] == &chain.simulated()) check.near[i] = near;
    }
  }
  return check;
}

}  // namespace bight::study
