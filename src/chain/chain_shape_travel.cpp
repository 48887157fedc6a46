#include "chain/chain_shape_travel.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "base/check.h"
#include "base/tolerance.h"

namespace bight::chain {
namespace {

ChainShapePose pose_at(ChainShapeProblem problem, double moving_mm) {
  problem.moving.x = moving_mm;
  ChainShapePose pose{moving_mm, solve_chain_shape(problem), 0.0};
  if (pose.shape.has_shape()) pose.strays_mm = strays_from_loop(problem, pose.shape);
  return pose;
}

/// A step, both ends and its middle: indices of poses.
struct Step {
  std::size_t low = 0;
  std::size_t middle = 0;
  std::size_t high = 0;
  double off = 0.0;  ///< of what may be: how far its middle is off the mean of its ends
};

/// Poses in the order in which they were solved, and what is known of the steps between them.
class Halving {
 public:
  Halving(const ChainShapeProblem& problem, double travel_mm,
          const ChainShapeTravelOptions& options)
      : problem_(problem), options_(options), travel_mm_(travel_mm) {
    const double weight_N = problem.mass_kg_per_m * problem.length_mm / 1000.0 * k_gravity;
    change_N_ = options.change_share * weight_N;
  }

  std::size_t add(double moving_mm) {
    poses_.push_back(pose_at(problem_, moving_mm));
    points_ += poses_.back().shape.points.size();
    rods_ += tried_as_rod(poses_.back()) ? 1 : 0;
    return poses_.size() - 1;
  }

  Step step(std::size_t low, std::size_t high) {
    const std::size_t middle = add(0.5 * (poses_[low].moving_mm + poses_[high].moving_mm));
    return {low, middle, high, off(poses_[low], poses_[middle], poses_[high])};
  }

  /// Halves steps, the worst first, then the halves. Whether none is left that ought to be.
  bool halve(std::vector<Step> steps) {
    bool settled = true;
    while (!steps.empty()) {
      std::stable_sort(steps.begin(), steps.end(),
                       [](const Step& a, const Step& b) { return a.off > b.off; });
      std::vector<Step> halves;
      for (const Step& s : steps) {
        const double length = poses_[s.high].moving_mm - poses_[s.low].moving_mm;
        if (s.off <= 1.0 || 0.25 * length < options_.finest_mm) continue;
        if (is_cancelled(options_.progress)) return false;
        if (points_ >= options_.most_points || (by_rod(s) && !worth_rods(length))) {
          settled = false;
          continue;
        }
        halves.push_back(step(s.low, s.middle));
        halves.push_back(step(s.middle, s.high));
      }
      steps = std::move(halves);
    }
    return settled;
  }

  std::vector<ChainShapePose> poses() && { return std::move(poses_); }

 private:
  bool by_rod(const Step& s) const {
    return tried_as_rod(poses_[s.low]) || tried_as_rod(poses_[s.middle]) ||
           tried_as_rod(poses_[s.high]);
  }
  /// Two more in a step of this length.
  bool worth_rods(double length) const {
    return rods_ + 2 <= options_.most_by_rod &&
           0.25 * length * options_.finest_by_rod >= travel_mm_;
  }

  double off(const ChainShapePose& a, const ChainShapePose& middle, const ChainShapePose& b) const {
    const ChainShape& low = a.shape;
    const ChainShape& mid = middle.shape;
    const ChainShape& high = b.shape;
    if (low.status != mid.status || high.status != mid.status) {
      return std::numeric_limits<double>::infinity();
    }
    if (!mid.has_shape()) return 0.0;
    double worst = 0.0;
    const auto add = [&worst](double at_low, double at_middle, double at_high, double may) {
      worst = std::max(worst, std::abs(0.5 * (at_low + at_high) - at_middle) / may);
    };
    const double mm = std::max({options_.change_mm, low.error_mm, mid.error_mm, high.error_mm});
    add(low.front_mm, mid.front_mm, high.front_mm, mm);
    add(low.gap_mm, mid.gap_mm, high.gap_mm, mm);
    add(low.sag_mm, mid.sag_mm, high.sag_mm, mm);
    add(a.strays_mm, middle.strays_mm, b.strays_mm, mm);
    if (!mid.converged()) return worst;
    const double force = std::max({change_N_, low.error_N, mid.error_N, high.error_N});
    add(low.pull_N, mid.pull_N, high.pull_N, force);
    add(low.floor_force_N, mid.floor_force_N, high.floor_force_N, force);
    const double moment = force * problem_.length_mm;
    add(low.fixed_moment_Nmm, mid.fixed_moment_Nmm, high.fixed_moment_Nmm, moment);
    add(low.moving_moment_Nmm, mid.moving_moment_Nmm, high.moving_moment_Nmm, moment);
    return worst;
  }

  const ChainShapeProblem& problem_;
  const ChainShapeTravelOptions& options_;
  double travel_mm_;
  double change_N_ = 0.0;
  std::vector<ChainShapePose> poses_;
  std::size_t points_ = 0;
  std::size_t rods_ = 0;
};

/// Sorts the poses and measures their steps.
void put_in_order(ChainShapeTravel& travel) {
  auto& poses = travel.poses;
  std::sort(poses.begin(), poses.end(), [](const ChainShapePose& a, const ChainShapePose& b) {
    return a.moving_mm < b.moving_mm;
  });
  travel.step_mm = 0.0;
  for (std::size_t i = 1; i < poses.size(); ++i) {
    travel.step_mm = std::max(travel.step_mm, poses[i].moving_mm - poses[i - 1].moving_mm);
  }
}

}  // namespace

bool tried_as_rod(const ChainShapePose& pose) {
  return pose.shape.by_rod || pose.shape.status == ChainShapeStatus::not_balanced;
}

ChainShapeTravel chain_shapes(const ChainShapeProblem& problem,
                              const std::array<double, 2>& moving_mm,
                              const ChainShapeTravelOptions& options) {
  BIGHT_CHECK(options.first_steps >= 1 && options.finest_mm > 0.0 && options.change_mm > 0.0 &&
              options.change_share > 0.0);
  const auto [low, high] = moving_mm;
  const int steps = low < high ? options.first_steps : 0;
  Halving halving(problem, high - low, options);
  std::vector<Step> firsts;
  std::size_t last = halving.add(low);
  for (int i = 1; i <= steps; ++i) {
    if (is_cancelled(options.progress)) i = steps;  // straight to the other end
    const std::size_t next = halving.add(i == steps ? high : low + (high - low) * i / steps);
    firsts.push_back(halving.step(last, next));
    last = next;
  }
  ChainShapeTravel travel;
  travel.settled = halving.halve(std::move(firsts)) && !is_cancelled(options.progress);
  travel.poses = std::move(halving).poses();
  put_in_order(travel);
  return travel;
}

ChainShapeTravel with_poses(ChainShapeTravel travel, const ChainShapeProblem& problem,
                            const std::vector<double>& moving_mm) {
  for (const double x : moving_mm) {
    const bool known = std::any_of(travel.poses.begin(), travel.poses.end(),
                                   [x](const auto& pose) { return pose.moving_mm == x; });
    if (!known) travel.poses.push_back(pose_at(problem, x));
  }
  put_in_order(travel);
  return travel;
}

ChainShapeProblem chain_shape_problem(const plan::Chain& chain, const ChainFrame& frame,
                                      double fill_kg_per_m) {
  return {.length_mm = frame.size.length_mm,
          .bend_radius_mm = chain.bend_radius,
          .back_radius_mm = chain.back_bend_radius,
          .pitch_mm = chain.pitch,
          .outer_height_mm = chain.outer_height,
          .moving = {frame.offset_mm, frame.height_mm},
          .mass_kg_per_m = chain.mass + fill_kg_per_m,
          .gravity = {-frame.along.z, -frame.normal.z},
          .tray = chain.tray};
}

}  // namespace bight::chain
