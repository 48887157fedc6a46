#include "study/raised_chain.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <mutex>

#include "base/tolerance.h"
#include "chain/reach_bodies.h"

namespace bight::study {
namespace {

/// More, and the check of one chain takes longer than all others.
constexpr std::size_t k_most_values = 200;
constexpr std::size_t k_least_values = 20;
/// Of all shapes that are kept: some 60 MB.
constexpr std::size_t k_most_points = 40'000;

std::vector<Mover> reach_of(const Context& context, const SimulatedChain& s, const Mover& self) {
  std::vector<Mover> movers;
  for (chain::ChainPiece& piece : chain::reach_bodies(*s.chain, context.machine, s.frame)) {
    Mover mover = self;
    mover.motion = std::move(piece.motion);
    mover.range[s.frame.joint] = piece.interval;
    mover.solid = std::make_shared<shape::Solid>(shape::make_solid(std::move(piece.mesh)));
    movers.push_back(std::move(mover));
  }
  return movers;
}

/// How many values are sampled at most: fewer for a chain of very many links.
std::size_t most_values(const SimulatedChain& s) {
  std::size_t points = 1;
  for (const chain::ChainShapePose& pose : s.travel.poses) {
    points = std::max(points, pose.shape.points.size());
  }
  return std::clamp(k_most_points / points, k_least_values, k_most_values);
}

/// Poses with a shape, at most so many, both ends among them.
std::vector<double> solved_values(const SimulatedChain& s, std::size_t most) {
  std::vector<double> all;
  for (const chain::ChainShapePose& pose : s.travel.poses) {
    if (pose.shape.has_shape()) all.push_back(chain::joint_value(s.frame, pose.moving_mm));
  }
  return thinned(std::move(all), most);
}

/// Even steps of the moving bracket, none longer than a link is high: the bend moves half as fast.
std::vector<double> even_values(const SimulatedChain& s, std::size_t most) {
  const auto [low, high] = s.frame.loop.moving_mm;
  const double wanted = std::ceil((high - low) / s.chain->outer_height);
  const auto steps = static_cast<std::size_t>(std::clamp(wanted, 0.0, static_cast<double>(most)));
  std::vector<double> values;
  for (std::size_t i = 1; i < steps; ++i) {
    const double share = static_cast<double>(i) / static_cast<double>(steps);
    values.push_back(chain::joint_value(s.frame, low + (high - low) * share));
  }
  return values;
}

}  // namespace

std::vector<double> thinned(std::vector<double> values, std::size_t most) {
  while (values.size() > std::max<std::size_t>(most, 2)) {
    std::size_t least = 1;
    for (std::size_t i = 1; i + 1 < values.size(); ++i) {
      if (std::abs(values[i + 1] - values[i - 1]) <
          std::abs(values[least + 1] - values[least - 1])) {
        least = i;
      }
    }
    values.erase(values.begin() + static_cast<std::ptrdiff_t>(least));
  }
  return values;
}

/// The links by the value of the joint.
struct RaisedChain::Solved {
  std::mutex mutex;
  std::map<double, Links> links;
};

RaisedChain::RaisedChain(const Context& context, const SimulatedChain& simulated)
    : simulated_(&simulated), solved_(std::make_shared<Solved>()) {
  const SimulatedChain& s = simulated;
  const machine::Machine& machine = context.machine;
  self_ = {.name = s.chain->name,
           .owner = s.chain->name,
           .is_chain = true,
           .minimum_clearance_mm = context.plan.rules.minimum_clearance,
           .motion = machine.bodies[machine.body_index(s.chain->fixed_body)].motion,
           .range = whole_travel(machine)};
  reach_ = reach_of(context, s, self_);
  for (const Mover& mover : reach_) reach_boxes_.push_back(shape::bounds(mover.solid->mesh));
  known_all_over_ = !s.travel.poses.empty();
  for (const chain::ChainShapePose& pose : s.travel.poses) {
    known_all_over_ = known_all_over_ && pose.shape.has_shape();
    by_rod_ = by_rod_ || chain::tried_as_rod(pose);
    largest_error_mm_ = std::max(largest_error_mm_, pose.shape.error_mm);
  }
  const std::size_t most = most_values(s);
  values_ = solved_values(s, most);
  if (!by_rod_ && !values_.empty()) {
    const std::vector<double> more = even_values(s, most);
    values_.insert(values_.end(), more.begin(), more.end());
  }
  std::sort(values_.begin(), values_.end());
  const auto same = [](double a, double b) { return b - a <= k_length_equal_mm; };
  values_.erase(std::unique(values_.begin(), values_.end(), same), values_.end());
}

Box RaisedChain::reach_box(const std::vector<double>& pose) const {
  constexpr double k_far = std::numeric_limits<double>::infinity();
  if (reach_.empty()) return {Vec3(-k_far), Vec3(k_far)};
  Box box;
  for (std::size_t i = 0; i < reach_.size(); ++i) {
    const Mover& piece = reach_[i];
    const auto [low, high] = piece.range[joint()];
    const double value = pose[joint()];
    if (value < low - k_length_equal_mm || value > high + k_length_equal_mm) continue;
    Vec3 shift(0.0);
    for (std::size_t j = 0; j < pose.size(); ++j) shift += pose[j] * piece.motion[j];
    box.extend(translated(reach_boxes_[i], shift));
  }
  return box;
}

RaisedChain::Links RaisedChain::links_at(double value) const {
  {
    const std::lock_guard lock(solved_->mutex);
    const auto known = solved_->links.find(value);
    if (known != solved_->links.end()) return known->second;
  }
  const SimulatedChain& s = *simulated_;
  Links links;
  if (s.travel.poses.empty()) return links;
  chain::ChainShapeProblem problem = s.problem;
  problem.moving.x = s.frame.offset_mm + s.frame.rate * value;
  const auto& poses = s.travel.poses;
  const auto pose = std::find_if(poses.begin(), poses.end(), [&](const auto& p) {
    return std::abs(p.moving_mm - problem.moving.x) <= k_length_equal_mm;
  });
  const chain::ChainShape shape =
      pose != poses.end() ? pose->shape : chain::solve_chain_shape(problem);
  if (shape.has_shape()) {
    links.solid = std::make_shared<shape::Solid>(
        shape::make_solid(chain::links_along(*s.chain, s.frame, shape.points)));
    links.error_mm = shape.error_mm;
  }
  const std::lock_guard lock(solved_->mutex);
  return solved_->links.emplace(value, std::move(links)).first->second;
}

std::vector<RaisedChain> raised_chains(
    const Context& context, const std::vector<std::optional<SimulatedChain>>& simulated) {
  std::vector<RaisedChain> raised;
  for (const auto& s : simulated) {
    if (s && is_raised(*s)) raised.emplace_back(context, *s);
  }
  return raised;
}

}  // namespace bight::study
