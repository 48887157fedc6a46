#include "editor/tour.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "machine/limits.h"

namespace bight::editor {
namespace {

/// mm/s where the plan gives no rapid rate.
constexpr double k_speed_mm_s = 100.0;
/// A stay at each stop, so that a person can look.
constexpr double k_rest_s = 0.5;
/// Poses of least margins that are visited.
constexpr std::size_t k_worst_poses = 8;
/// Joints whose corners are all visited; a machine with more gets home and the worst poses.
constexpr std::size_t k_joints_limit = 6;

double travel_time(const machine::Machine& machine, const std::vector<double>& a,
                   const std::vector<double>& b) {
  double time = 0.0;
  for (std::size_t j = 0; j < machine.joints.size(); ++j) {
    const double speed = machine.joints[j].speed.value_or(k_speed_mm_s * 60.0) / 60.0;
    time = std::max(time, std::abs(b[j] - a[j]) / speed);
  }
  return time;
}

/// "X+ Y– Z–": high end of X, low ends of Y and Z.
std::string corner_name(const machine::Machine& machine, std::size_t corner) {
  std::string name;
  for (std::size_t j = 0; j < machine.joints.size(); ++j) {
    name +=
        (j == 0 ? "" : " ") + machine.joints[j].name + ((corner >> j & 1U) != 0U ? "+" : "\u2013");
  }
  return name;
}

/// Where something is nearest to its limit, the nearest first.
struct Worst {
  double margin = 0.0;
  std::vector<double> pose;
  std::string what;
};

std::vector<Worst> worst_poses(const study::StudyResult& study, LengthUnit unit) {
  std::vector<Worst> worst;
  for (const study::ClearancePair& pair : study.clearance) {
    worst.push_back({pair.upper_mm - pair.wanted_mm, pair.pose,
                     pair.a + " near " + pair.b + ": " + length_text(pair.upper_mm, unit)});
  }
  for (const study::FreeRunFigures& run : study.free_runs) {
    const std::string name = run.from + " to " + run.to;
    worst.push_back({run.length_mm - run.farthest_mm, run.farthest_pose, name + ": farthest"});
    worst.push_back({run.max_mm - run.length_mm, run.nearest_pose, name + ": nearest"});
    if (!run.radius_pose.empty()) {
      worst.push_back({run.radius_mm - run.allowed_radius_mm, run.radius_pose,
                       name + ": smallest radius " + length_text(run.radius_mm, unit, 0)});
    }
    if (!run.clearance_pose.empty()) {
      worst.push_back({run.clearance_mm - run.clearance_wanted_mm, run.clearance_pose,
                       name + " near " + run.clearance_to});
    }
  }
  std::stable_sort(worst.begin(), worst.end(),
                   [](const Worst& a, const Worst& b) { return a.margin < b.margin; });
  return worst;
}

}  // namespace

std::vector<double> clamped_pose(const machine::Machine& machine, std::vector<double> pose) {
  const std::vector<double> home = machine::home_pose(machine.joints);
  pose.resize(home.size(), std::nan(""));
  for (std::size_t j = 0; j < pose.size(); ++j) {
    const auto& travel = machine.joints[j].travel;
    pose[j] = std::isfinite(pose[j]) ? std::clamp(pose[j], travel[0], travel[1]) : home[j];
  }
  return pose;
}

std::vector<double> carried_pose(const machine::Machine& from, const std::vector<double>& pose,
                                 const machine::Machine& to) {
  std::vector<double> carried;
  for (const plan::Joint& joint : to.joints) {
    double value = std::nan("");
    for (std::size_t j = 0; j < from.joints.size() && j < pose.size(); ++j) {
      if (from.joints[j].name == joint.name) value = pose[j];
    }
    carried.push_back(value);
  }
  return clamped_pose(to, std::move(carried));
}

Tour make_tour(const machine::Machine& machine, const study::StudyResult* study, LengthUnit unit) {
  Tour tour;
  const auto visit = [&](std::vector<double> pose, std::string what) {
    pose = clamped_pose(machine, std::move(pose));
    double time = 0.0;
    if (!tour.stops.empty()) {
      const TourStop& last = tour.stops.back();
      time = last.time_s + k_rest_s + travel_time(machine, last.pose, pose);
    }
    tour.stops.push_back({std::move(pose), std::move(what), time});
  };
  visit(machine::home_pose(machine.joints), "home");
  const std::size_t joints = machine.joints.size();
  if (joints > 0 && joints <= k_joints_limit) {
    const auto corners = machine::corner_poses(machine::soft_travel(machine.joints));
    // Gray's order: each way is an edge of the box, and every corner is visited once.
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < corners.size(); ++i) order.push_back(i ^ i >> 1U);
    // The edges of the box that this order leaves out follow, each from a corner to its neighbour.
    for (const std::size_t c : order) visit(corners[c], corner_name(machine, c));
    for (std::size_t c = 0; c < corners.size(); ++c) {
      for (std::size_t j = 0; j < joints; ++j) {
        const std::size_t other = c | std::size_t{1} << j;
        if (other == c) continue;
        bool done = false;
        for (std::size_t i = 0; i + 1 < order.size(); ++i) {
          done = done || (order[i] == c && order[i + 1] == other) ||
                 (order[i] == other && order[i + 1] == c);
        }
        if (done) continue;
        visit(corners[c], corner_name(machine, c));
        visit(corners[other], corner_name(machine, other));
      }
    }
  }
  if (study != nullptr) {
    std::size_t visited = 0;
    for (const Worst& worst : worst_poses(*study, unit)) {
      if (worst.pose.size() != joints || visited == k_worst_poses) continue;
      visit(worst.pose, worst.what);
      ++visited;
    }
  }
  visit(machine::home_pose(machine.joints), "home");
  tour.duration_s = tour.stops.back().time_s;
  return tour;
}

std::size_t stop_at(const Tour& tour, double time_s) {
  std::size_t next = 0;
  while (next + 1 < tour.stops.size() && tour.stops[next].time_s < time_s) ++next;
  return next;
}

std::vector<double> pose_at(const Tour& tour, double time_s) {
  if (tour.stops.empty()) return {};
  const std::size_t next = stop_at(tour, time_s);
  const TourStop& to = tour.stops[next];
  if (next == 0 || !(time_s < to.time_s)) return to.pose;
  const TourStop& from = tour.stops[next - 1];
  const double begin = from.time_s + k_rest_s;
  const double span = to.time_s - begin;
  const double t = span > 0.0 ? std::clamp((time_s - begin) / span, 0.0, 1.0) : 1.0;
  std::vector<double> pose(to.pose.size());
  for (std::size_t j = 0; j < pose.size(); ++j) {
    pose[j] = from.pose[j] + t * (to.pose[j] - from.pose[j]);
  }
  return pose;
}

}  // namespace bight::editor
