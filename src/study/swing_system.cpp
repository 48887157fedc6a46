#include "study/swing_system.h"

#include <algorithm>
#include <array>
#include <utility>

namespace bight::study {
namespace {

// A line's links in motion: few carry the swing as well, but not the tight loops of slack lines.
constexpr std::array<std::size_t, 2> k_links = {16, k_rod_segments};
static_assert(k_rod_segments % k_links[0] == 0);

using Joints = std::vector<std::vector<Vec3>>;

rod::SpatialRodProblem problem_of(const SwingRod& rod, const std::vector<Vec3>& joints,
                                  const free::Pose& pose) {
  rod::SpatialRodProblem p;
  p.length_mm = rod.length_mm(pose);
  p.mass_kg_m = rod.line.mass_kg_m;
  p.stiffness_Nm2 = solved_stiffness_Nm2(rod.line);
  p.start = joints.front();
  p.end = joints.back();
  p.start_tangent = rod.start_tangent;
  return p;
}

std::optional<std::vector<Vec3>> joints_at(const SwingRod& swing, RodShape& near,
                                           const free::Pose& pose, std::size_t links) {
  FreeRunRod rod = swing.rod;
  near = rod.solve_near(near, pose);
  if (!near.converged()) return {};
  std::vector<Vec3> points;
  for (std::size_t i = 0; i < near.points.size(); i += k_rod_segments / links) {
    points.push_back(near.points[i]);
  }
  if (swing.reversed) std::reverse(points.begin(), points.end());
  const rod::SpatialRodProblem p = problem_of(swing, points, pose);
  // Pulled straight, links of any number have one shape, which the solver's tensions do not tell.
  constexpr double k_straight = 1e-5;
  if (glm::distance(p.start, p.end) > (1.0 - k_straight) * p.length_mm) return points;
  rod::SpatialRodSolver solver(static_cast<int>(links));
  if (!solver.solve_from(points, p).converged()) return {};
  return solver.points();
}

std::optional<Joints> all_joints(const std::vector<SwingRod>& rods, std::vector<RodShape>& near,
                                 const free::Pose& pose, std::size_t links) {
  Joints all;
  for (std::size_t i = 0; i < rods.size(); ++i) {
    auto joints = joints_at(rods[i], near[i], pose, links);
    if (!joints) return {};
    all.push_back(std::move(*joints));
  }
  return all;
}

std::optional<SwingRests> rests_of(const std::vector<SwingRod>& rods, const free::Pose& before,
                                   const free::Pose& after, std::size_t joint, std::size_t links) {
  std::vector<RodShape> near(rods.size());
  const auto rest = all_joints(rods, near, after, links);
  if (!rest) return {};
  constexpr int k_ways = 8;
  std::optional<Joints> first = rest;
  for (int i = 1; i <= k_ways && first; ++i) {
    free::Pose pose = after;
    pose[joint] += (before[joint] - after[joint]) * i / k_ways;
    first = all_joints(rods, near, pose, links);
  }
  if (!first) {
    near.assign(rods.size(), {});
    first = all_joints(rods, near, before, links);
    if (!first) return {};
  }
  return SwingRests{std::move(*first), *rest};
}

}  // namespace

std::optional<SwingRests> swing_rests(const std::vector<SwingRod>& rods, const free::Pose& before,
                                      const free::Pose& after, std::size_t joint) {
  for (const std::size_t links : k_links) {
    auto rests = rests_of(rods, before, after, joint, links);
    if (rests) return rests;
  }
  return {};
}

rod::SwingLine swing_line(const SwingRod& rod, const SwingRests& rests, std::size_t index,
                          const free::Pose& after) {
  rod::SwingLine line;
  line.line.problem = problem_of(rod, rests.after[index], after);
  line.line.joints = rests.before[index];
  line.rest = rests.after[index];
  return line;
}

}  // namespace bight::study
