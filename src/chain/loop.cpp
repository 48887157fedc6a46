#include "chain/loop.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "base/check.h"
#include "base/number.h"
#include "base/tolerance.h"

namespace bight::chain {
namespace {

using std::numbers::pi;

bool valid(const LoopProblem& p) {
  const auto positive = [](double v) { return std::isfinite(v) && v > 0.0; };
  const auto not_negative = [](double v) { return std::isfinite(v) && v >= 0.0; };
  return std::isfinite(p.fixed_mm) && std::isfinite(p.moving_mm[0]) &&
         std::isfinite(p.moving_mm[1]) && p.moving_mm[0] <= p.moving_mm[1] &&
         positive(p.bend_radius_mm) && positive(p.pitch_mm) && not_negative(p.outer_height_mm) &&
         not_negative(p.end_straight_mm) && p.links.value_or(1) > 0 &&
         not_negative(p.room_mm.value_or(0.0));
}

/// Whole links: a length that is a multiple of the pitch to within rounding needs no further link.
double links_up(double length, double pitch) {
  return std::ceil((length - k_length_equal_mm) / pitch);
}

/// The farthest that either bracket's pin is to the side of the bend.
double farthest_bracket(const LoopProblem& p) {
  return std::max(p.fixed_mm, p.moving_mm[1]);
}

/// Longest length whose outside keeps within `room` beyond the farthest bracket: loop_room =
/// (L - pi R + x_F + x_M)/2 + R + h/2 - farthest at x_M = moving_mm[1].
double longest_for_room(const LoopProblem& p, double room) {
  return 2.0 * (room + farthest_bracket(p) - p.bend_radius_mm - 0.5 * p.outer_height_mm) +
         pi * p.bend_radius_mm - p.fixed_mm - p.moving_mm[1];
}

/// Links are counted in int; more than this is no chain.
constexpr double k_most_links = 1e6;

}  // namespace

LoopPose loop_at(const LoopProblem& problem, double length_mm, double moving_mm) {
  LoopPose pose;
  pose.bend_mm = 0.5 * (length_mm - pi * problem.bend_radius_mm + problem.fixed_mm + moving_mm);
  pose.front_mm = pose.bend_mm + problem.bend_radius_mm;
  pose.front_outside_mm = pose.front_mm + 0.5 * problem.outer_height_mm;
  pose.fixed_run_mm = pose.bend_mm - problem.fixed_mm;
  pose.moving_run_mm = pose.bend_mm - moving_mm;
  return pose;
}

Vec2 point_on_loop(const LoopProblem& problem, double length_mm, double moving_mm, double s_mm) {
  const LoopPose pose = loop_at(problem, length_mm, moving_mm);
  const double radius = problem.bend_radius_mm;
  const double on_arc = s_mm - pose.fixed_run_mm;
  if (on_arc <= 0.0) return {problem.fixed_mm + s_mm, 0.0};
  if (on_arc < pi * radius) {
    const double angle = on_arc / radius;
    return {pose.bend_mm + radius * std::sin(angle), radius * (1.0 - std::cos(angle))};
  }
  return {pose.bend_mm - (on_arc - pi * radius), 2.0 * radius};
}

LoopResult size_loop(const LoopProblem& problem) {
  LoopResult result;
  const double reach = std::max(std::abs(problem.moving_mm[0] - problem.fixed_mm),
                                std::abs(problem.moving_mm[1] - problem.fixed_mm));
  result.shortest_mm = reach + pi * problem.bend_radius_mm + 2.0 * problem.end_straight_mm;
  const double fewest = links_up(result.shortest_mm, problem.pitch_mm);
  if (!valid(problem) || !(fewest <= k_most_links)) {
    result.status = LoopStatus::invalid;
    result.problem = "a length of the chain is not above 0, not finite or out of proportion";
    return result;
  }
  result.fewest_links = static_cast<int>(fewest);
  result.links = problem.links.value_or(result.fewest_links);
  result.length_mm = result.links * problem.pitch_mm;
  result.spare_mm = result.length_mm - result.shortest_mm;
  result.at_low = loop_at(problem, result.length_mm, problem.moving_mm[0]);
  result.at_high = loop_at(problem, result.length_mm, problem.moving_mm[1]);
  result.loop_room_pitch_mm = result.at_high.front_mm - farthest_bracket(problem);
  result.loop_room_mm = result.at_high.front_outside_mm - farthest_bracket(problem);
  result.room_beyond_fixed_mm = result.at_high.front_outside_mm - problem.fixed_mm;
  result.height_mm = 2.0 * problem.bend_radius_mm + problem.outer_height_mm;
  result.longest_straight_mm = result.at_low.moving_run_mm;
  result.longest_fixed_run_mm = result.at_high.fixed_run_mm;
  if (problem.room_mm) {
    const double longest = longest_for_room(problem, *problem.room_mm) + k_length_equal_mm;
    result.most_links =
        static_cast<int>(std::clamp(std::floor(longest / problem.pitch_mm), 0.0, k_most_links));
  }

  if (!(result.spare_mm >= -k_length_equal_mm)) {
    result.status = LoopStatus::too_short;
    result.problem = std::to_string(result.links) + " links are " + fixed(-result.spare_mm, 1) +
                     " mm too short; " + std::to_string(result.fewest_links) + " do";
  } else if (problem.room_mm && !(result.loop_room_mm <= *problem.room_mm + k_length_equal_mm)) {
    result.status = LoopStatus::no_room;
    result.problem = "the loop needs " + fixed(result.loop_room_mm, 1) +
                     " mm beyond the brackets, " +
                     fixed(result.loop_room_mm - *problem.room_mm, 1) + " mm more than there is";
    if (*result.most_links >= result.fewest_links) {
      result.problem += "; " + std::to_string(*result.most_links) + " links fit";
    }
  }
  return result;
}

LinkPolygon link_polygon(double pitch_mm, int joints) {
  BIGHT_CHECK(joints >= 2 && pitch_mm > 0.0);
  const double limit = pi / joints;
  LinkPolygon polygon;
  polygon.joints_radius_mm = pitch_mm / (2.0 * std::sin(0.5 * limit));
  polygon.middles_radius_mm = pitch_mm / (2.0 * std::tan(0.5 * limit));
  polygon.run_distance_mm = 2.0 * polygon.middles_radius_mm;
  polygon.turn_length_mm = joints * pitch_mm;
  // Links after the first joint point along k * limit; those below 90 deg reach further out.
  for (int k = 1; 2 * k < joints; ++k) polygon.bulge_mm += pitch_mm * std::cos(k * limit);
  return polygon;
}

LevelHeights level_heights(double bend_radius_mm, double pitch_mm) {
  constexpr double k_mount_tolerance_mm = 1.0;
  const double half_link = 0.5 * pitch_mm;
  return {2.0 * std::sqrt(bend_radius_mm * bend_radius_mm - half_link * half_link) -
              k_mount_tolerance_mm,
          2.0 * std::hypot(bend_radius_mm, half_link) + k_mount_tolerance_mm};
}

RaisedLoop raised_loop(const LoopProblem& problem, double length_mm, double moving_mm,
                       double height_mm) {
  const double radius = problem.bend_radius_mm;
  RaisedLoop loop;
  if (!valid(problem) || !std::isfinite(length_mm) || !std::isfinite(moving_mm) ||
      !(height_mm >= 2.0 * radius - k_length_equal_mm) || !std::isfinite(height_mm)) {
    return loop;
  }
  if (height_mm <= 2.0 * radius + k_length_equal_mm) {
    const LoopPose level = loop_at(problem, length_mm, moving_mm);
    return {level.fixed_run_mm >= 0.0 && level.moving_run_mm >= 0.0,
            0.0,
            level.moving_run_mm,
            pi * radius,
            level.fixed_run_mm,
            level.front_mm};
  }
  const auto at_tilt = [&](double tilt) {
    loop.tilt = tilt;
    loop.moving_run_mm = (height_mm - radius * (1.0 + std::cos(tilt))) / std::sin(tilt);
    loop.arc_mm = radius * (pi - tilt);
    loop.fixed_run_mm = moving_mm + loop.moving_run_mm * std::cos(tilt) - radius * std::sin(tilt) -
                        problem.fixed_mm;
    return loop.moving_run_mm + loop.arc_mm + loop.fixed_run_mm;
  };
  // The length falls steadily with the tilt, d length / d tilt = (R cos tilt - (height - R)) /
  // (1 - cos tilt) < 0, from infinity at 0: halve the interval until it is rounding.
  double less = 0.0;
  double more = pi;
  for (int step = 0; step < 200 && less < more; ++step) {
    const double middle = 0.5 * (less + more);
    if (middle == less || middle == more) break;
    (at_tilt(middle) > length_mm ? less : more) = middle;
  }
  const double reached = at_tilt(0.5 * (less + more));
  loop.front_mm = problem.fixed_mm + loop.fixed_run_mm + radius;
  loop.possible = std::abs(reached - length_mm) <= k_length_equal_mm && loop.fixed_run_mm >= 0.0;
  return loop;
}

}  // namespace bight::chain
