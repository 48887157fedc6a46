#include "chain/chain_shape_travel.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"

namespace bight::chain {
namespace {

ChainShapePose pose_at(ChainShapeProblem problem, double moving_mm) {
  problem.moving.x = moving_mm;
  ChainShapePose pose{moving_mm, solve_chain_shape(problem), 0.0};
  if (pose.shape.has_shape()) pose.strays_mm = strays_from_loop(problem, pose.shape);
  return pose;
}

/// Could the figures at the middle have been read off those at the ends?
bool foreseen(const ChainShapePose& a, const ChainShapePose& middle, const ChainShapePose& b,
              double change) {
  if (a.shape.status != middle.shape.status || b.shape.status != middle.shape.status) return false;
  const auto close = [&](double at_a, double at_middle, double at_b) {
    return std::abs(0.5 * (at_a + at_b) - at_middle) <= change;
  };
  return close(a.shape.front_mm, middle.shape.front_mm, b.shape.front_mm) &&
         close(a.shape.gap_mm, middle.shape.gap_mm, b.shape.gap_mm) &&
         close(a.shape.sag_mm, middle.shape.sag_mm, b.shape.sag_mm);
}

}  // namespace

ChainShapeTravel chain_shapes(const ChainShapeProblem& problem,
                              const std::array<double, 2>& moving_mm,
                              const ChainShapeTravelOptions& options) {
  BIGHT_CHECK(options.first_steps >= 1 && options.change_mm > 0.0);
  ChainShapeTravel travel;
  const auto [low, high] = moving_mm;
  const int steps = low < high ? options.first_steps : 0;
  travel.poses.push_back(pose_at(problem, low));
  travel.settled = true;
  std::size_t points = 0;
  // Halves the step from the last pose to `b` as needed, appending poses in order.
  const auto refine = [&](const auto& self, const ChainShapePose& b, int halvings) -> void {
    const ChainShapePose a = travel.poses.back();
    ChainShapePose middle = pose_at(problem, 0.5 * (a.moving_mm + b.moving_mm));
    points += middle.shape.points.size();
    // A rod takes milliseconds and is right to a part of a link: no use in hundreds of poses.
    const bool by_rod = a.shape.by_rod || middle.shape.by_rod || b.shape.by_rod;
    const bool worth_it = !by_rod || halvings == options.most_halvings;
    if (!foreseen(a, middle, b, options.change_mm)) {
      if (worth_it && halvings > 0 && points < options.most_points) {
        self(self, middle, halvings - 1);
        self(self, b, halvings - 1);
        return;
      }
      travel.settled = false;
    }
    travel.poses.push_back(std::move(middle));
    travel.poses.push_back(b);
  };
  for (int i = 1; i <= steps; ++i) {
    const double x = i == steps ? high : low + (high - low) * i / steps;
    refine(refine, pose_at(problem, x), options.most_halvings);
  }
  for (std::size_t i = 1; i < travel.poses.size(); ++i) {
    travel.step_mm =
        std::max(travel.step_mm, travel.poses[i].moving_mm - travel.poses[i - 1].moving_mm);
  }
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
