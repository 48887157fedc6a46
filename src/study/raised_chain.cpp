#include "study/raised_chain.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <mutex>

#include "base/tolerance.h"
#include "chain/reach_bodies.h"

namespace bight::study {
namespace {

/// More, and the check of one chain takes longer than all others.
constexpr std::size_t k_most_values = 200;

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

double joint_value(const SimulatedChain& s, double moving_mm) {
  return (moving_mm - s.frame.offset_mm) / s.frame.rate;
}

/// Poses with a shape, at most so many, both ends among them.
std::vector<double> solved_values(const SimulatedChain& s) {
  std::vector<double> all;
  for (const chain::ChainShapePose& pose : s.travel.poses) {
    if (pose.shape.has_shape()) all.push_back(joint_value(s, pose.moving_mm));
  }
  if (all.size() <= k_most_values) return all;
  std::vector<double> some;
  for (std::size_t i = 0; i < k_most_values; ++i) {
    some.push_back(all[i * (all.size() - 1) / (k_most_values - 1)]);
  }
  return some;
}

/// Even steps of the moving bracket, none longer than a link is high: the bend moves half as fast.
std::vector<double> even_values(const SimulatedChain& s) {
  const auto [low, high] = s.frame.loop.moving_mm;
  const double wanted = std::ceil((high - low) / s.chain->outer_height);
  const auto steps =
      static_cast<std::size_t>(std::clamp(wanted, 0.0, static_cast<double>(k_most_values)));
  std::vector<double> values;
  for (std::size_t i = 1; i < steps; ++i) {
    const double share = static_cast<double>(i) / static_cast<double>(steps);
    values.push_back(joint_value(s, low + (high - low) * share));
  }
  return values;
}

}  // namespace

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
    by_rod_ = by_rod_ || pose.shape.by_rod;
    largest_error_mm_ = std::max(largest_error_mm_, pose.shape.error_mm);
  }
  values_ = solved_values(s);
  if (!by_rod_ && !values_.empty()) {
    const std::vector<double> more = even_values(s);
    values_.insert(values_.end(), more.begin(), more.end());
  }
  std::sort(values_.begin(), values_.end());
  const auto same = [](double a, double b) { return b - a <= k_length_equal_mm; };
  values_.erase(std::unique(values_.begin(), values_.end(), same), values_.end());
}

Box RaisedChain::reach_box(const std::vector<double>& pose) const {
  Box box;
  for (std::size_t i = 0; i < reach_.size(); ++i) {
    const Mover& piece = reach_[i];
    if (pose[joint()] < piece.range[joint()][0] || pose[joint()] > piece.range[joint()][1])
      continue;
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
