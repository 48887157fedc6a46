#include "study/raised_chain_approach.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <utility>

#include "base/parallel.h"
#include "base/tolerance.h"
#include "clearance/query.h"
#include "study/free_run_refine.h"

namespace bight::study {
namespace {

constexpr double k_far = std::numeric_limits<double>::infinity();
/// Values of each of two joints that are sampled together.
constexpr std::size_t k_most_of_two = 40;
constexpr double k_refined_step_mm = 1.0;  ///< the local search ends at this step

bool proved_clear(const Context& context, const ChainMeeting& meeting, double wanted_mm) {
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
std::optional<double> look(const Context& context, const ChainMeeting& meeting,
                           const Values& values, double within, ChainApproach& nearest) {
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
void refine(const Context& context, const ChainMeeting& meeting, ChainApproach& approach) {
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

/// How fast links and thing come nearer at most, over a joint of one of the chains: links go about
/// as far as their bracket, and the thing may go the other way.
double rate_of(const ChainMeeting& meeting) {
  if (meeting.other) return 2.0;
  const std::size_t joint = meeting.chain->joint();
  return 1.0 + glm::length(meeting.thing().motion[joint] - meeting.chain->self().motion[joint]);
}

/// Steps that let a bend, half as fast as its joint, pass by no more than half a link's height.
double noticed_step(const ChainMeeting& meeting) {
  const double height = meeting.chain->simulated().chain->outer_height;
  if (!meeting.other) return height;
  return std::min(height, meeting.other->simulated().chain->outer_height);
}

/// Values of the joint of the chain, and of the other chain's where that is another one.
PoseGrid first_grid(const ChainMeeting& meeting) {
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
void sample(const Context& context, ChainApproach& approach) {
  const ChainMeeting& meeting = approach.meeting;
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
      approach.settled = closer.settled && all_known && meeting.known_all_over();
      break;
    }
    grid = std::move(closer.grid);
  }
  approach.step_mm = grid.step_mm;
  refine(context, meeting, approach);
}

}  // namespace

std::vector<MoverPair> pairs_anywhere(const Context& context, const ChainMeeting& meeting) {
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

bool too_near(const ChainApproach& approach) {
  return approach.distance_mm <= 0.0 ||
         approach.distance_mm + k_clearance_tolerance_mm < approach.wanted_mm;
}

std::vector<ChainApproach> approaches_of(const Context& context,
                                         const std::vector<RaisedChain>& chains,
                                         const std::vector<Mover>& movers) {
  std::vector<ChainApproach> approaches;
  const auto add = [&](const ChainMeeting& meeting) {
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
    ChainApproach& approach = approaches[i];
    approach.proved = proved_clear(context, approach.meeting, approach.wanted_mm);
    if (!approach.proved) sample(context, approach);
  });
  return approaches;
}

}  // namespace bight::study
