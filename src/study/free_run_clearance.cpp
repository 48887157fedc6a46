#include "study/free_run_clearance.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

#include "base/parallel.h"
#include "clearance/query.h"
#include "free/reach_ellipsoid.h"
#include "study/posed_shapes.h"

namespace bight::study {
namespace {

constexpr double k_refined_step_mm = 1.0;  ///< local search ends at this step

/// Anchors as seen from a mover.
free::AnchorPair seen_from(const free::AnchorPair& anchors, const Mover& mover) {
  free::AnchorPair relative = anchors;
  for (std::size_t j = 0; j < mover.motion.size(); ++j) {
    relative.joints[j].start -= mover.motion[j];
    relative.joints[j].end -= mover.motion[j];
    relative.joints[j].lower = std::max(relative.joints[j].lower, mover.range[j][0]);
    relative.joints[j].upper = std::min(relative.joints[j].upper, mover.range[j][1]);
  }
  return relative;
}

bool listed(const std::vector<std::string>& names, const Mover& mover) {
  return std::any_of(names.begin(), names.end(), [&](const std::string& name) {
    return name == mover.owner || (!mover.body.empty() && name == mover.body);
  });
}

/// An end is fastened to a part of its own body that is nearer to it than the line may come to
/// anything else.
bool fastened(const FreeEnd& end, const Mover& mover, double wanted_mm) {
  if (mover.is_chain || mover.body != end.body) return false;
  const shape::Solid point = shape::make_solid({{end.at}, {{0, 0, 0}}});
  return !clearance::clearance_exceeds(point, *mover.solid, {}, wanted_mm);
}

/// The line goes on into that chain at its start or end: what it leaves there is near by design.
bool joins_chain(const FreeRun& run, bool at_start, const std::string& chain) {
  const auto& legs = run.run->legs;
  if (at_start ? run.leg == 0 : run.leg + 1 == legs.size()) return false;
  const plan::Leg& next = legs[at_start ? run.leg - 1 : run.leg + 1];
  return next.way == plan::LegWay::chain && next.chain == chain;
}

/// Proved for the whole solid of a mover.
bool out_of_reach(const FreeRun& run, double length_mm, double diameter_mm, double wanted_mm,
                  const Mover& mover) {
  return free::proved_out_of_reach(seen_from(reach_of(run), mover), length_mm, 0.5 * diameter_mm,
                                   wanted_mm, shape::bounds(mover.solid->mesh));
}

constexpr double k_far = std::numeric_limits<double>::infinity();

/// What of the target is there, and by how much it may be elsewhere; without a solid where its
/// shape is not known.
RaisedChain::Links solid_of(const LineTarget& target, const std::vector<double>& pose) {
  if (target.raised) return target.raised->links_at(pose[target.raised->joint()]);
  return {target.mover->solid, 0.0};
}

/// Looks at a pose beside that of the approach; keeps it when the line is nearer there.
void look_beside(FreeRunRod& rod, double diameter_mm, const TargetBox& box,
                 const std::vector<double>& pose, LineApproach& approach) {
  const std::optional<Box> there = box.at(pose);
  if (!there) return;
  const RodShape found = rod.solve_from(approach.shape.points, pose);
  if (!found.converged()) return;
  double bound = k_far;
  for (const Box& b : boxed(found.points).boxes) {
    bound = std::min(bound, box_distance(b, *there));
  }
  if (bound - 0.5 * diameter_mm >= approach.distance_mm) return;
  const double d = line_distance(approach.target, pose, found.points, rod.rod().length_mm,
                                 diameter_mm, approach.distance_mm);
  if (d >= approach.distance_mm) return;
  approach.distance_mm = d;
  approach.pose = pose;
  approach.shape = found;
}

/// Pattern search from a pose of the grid: one joint at a time, the step halved when nothing gets
/// nearer.
void refine(const Context& context, FreeRunRod& rod, double diameter_mm, double step,
            LineApproach& approach) {
  const auto& joints = context.machine.joints;
  const LineTarget& target = approach.target;
  const TargetBox box(target);
  double by = 0.5 * step;
  while (by >= k_refined_step_mm) {
    for (std::size_t j = 0; j < joints.size(); ++j) {
      const free::JointMotion& motion = rod.anchors().joints[j];
      const bool still =
          motion.start == target.mover->motion[j] && motion.end == target.mover->motion[j];
      const bool shapes_target = target.raised && target.raised->joint() == j;
      if (still && !shapes_target && !rod.shaped_by(j)) continue;
      if (shapes_target && target.raised->by_rod()) continue;  // each new value takes long
      for (const double sign : {1.0, -1.0}) {
        std::vector<double> pose = approach.pose;
        pose[j] = std::clamp(pose[j] + sign * by, joints[j].travel[0], joints[j].travel[1]);
        if (pose[j] != approach.pose[j]) look_beside(rod, diameter_mm, box, pose, approach);
      }
    }
    by *= 0.5;
  }
}

}  // namespace

LineTargets line_targets(const Context& context, const FreeRun& run, double length_mm,
                         double diameter_mm, const std::vector<Mover>& movers,
                         const std::vector<RaisedChain>& raised) {
  LineTargets found;
  const plan::Leg& leg = run.run->legs[run.leg];
  const double rule = context.plan.rules.free_line_clearance;
  for (const Mover& mover : movers) {
    if (listed(leg.may_touch, mover)) continue;
    const bool start =
        fastened(run.from, mover, rule) || (mover.is_chain && joins_chain(run, true, mover.owner));
    const bool end =
        fastened(run.to, mover, rule) || (mover.is_chain && joins_chain(run, false, mover.owner));
    const double wanted = start || end ? 0.0 : rule;
    if (!start && !end && out_of_reach(run, length_mm, diameter_mm, wanted, mover)) {
      ++found.proved;
      continue;
    }
    found.targets.push_back(
        {.mover = &mover, .wanted_mm = wanted, .skip_start = start, .skip_end = end});
  }
  for (const RaisedChain& chain : raised) {
    if (listed(leg.may_touch, chain.self())) continue;
    const std::vector<Mover>& reach = chain.reach();
    const bool start = joins_chain(run, true, chain.self().owner);
    const bool end = joins_chain(run, false, chain.self().owner);
    const bool proved = !start && !end && !reach.empty() &&
                        std::all_of(reach.begin(), reach.end(), [&](const Mover& piece) {
                          return out_of_reach(run, length_mm, diameter_mm, rule, piece);
                        });
    if (proved) {
      ++found.proved;
    } else {
      found.targets.push_back({.mover = &chain.self(),
                               .raised = &chain,
                               .wanted_mm = start || end ? 0.0 : rule,
                               .skip_start = start,
                               .skip_end = end});
    }
  }
  return found;
}

std::vector<bool> approaching_joints(const FreeRun& run, const std::vector<LineTarget>& targets) {
  std::vector<bool> joints(run.anchors.joints.size(), false);
  for (const LineTarget& t : targets) {
    for (std::size_t j = 0; j < joints.size(); ++j) {
      joints[j] = joints[j] || (t.raised && t.raised->joint() == j) ||
                  t.mover->motion[j] != run.anchors.joints[j].start ||
                  t.mover->motion[j] != run.anchors.joints[j].end;
    }
  }
  return joints;
}

double line_distance(const LineTarget& target, const std::vector<double>& pose,
                     const std::vector<Vec3>& points, double length_mm, double diameter_mm,
                     double within_mm) {
  return swept_distance(target, pose, points, points, length_mm, diameter_mm, within_mm);
}

double swept_distance(const LineTarget& target, const std::vector<double>& pose,
                      const std::vector<Vec3>& points, const std::vector<Vec3>& other,
                      double length_mm, double diameter_mm, double within_mm) {
  const std::optional<Vec3> shift = shift_of(target, pose);
  if (!shift || points.empty()) return k_far;
  const RaisedChain::Links target_solid = solid_of(target, pose);
  if (target_solid.solid == nullptr) return k_far;
  within_mm += target_solid.error_mm;
  // Where the line is fastened to the target, its first piece is near by design.
  const double skip = 2.0 * diameter_mm + 20.0;
  const Box there = shape::bounds(target_solid.solid->mesh);
  // The links are equal; a line over a pulley or from a retractor is not always as long.
  const double piece = glm::distance(points[0], points[1]);
  length_mm = piece * static_cast<double>(points.size() - 1);
  const bool still = &points == &other;
  // A strip of triangles from one shape to the other (without area where the line stands still), of
  // the links that matter.
  shape::Mesh mesh;
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    const double s = piece * static_cast<double>(i);
    if ((target.skip_start && s < skip) || (target.skip_end && s + piece > length_mm - skip)) {
      continue;
    }
    const std::array<Vec3, 4> corners{points[i] - *shift, points[i + 1] - *shift, other[i] - *shift,
                                      other[i + 1] - *shift};
    Box box;
    for (const Vec3& corner : corners) box.extend(corner);
    if (box_distance(box, there) - 0.5 * diameter_mm >= within_mm) continue;
    const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
    mesh.vertices.insert(mesh.vertices.end(), corners.begin(), corners.begin() + (still ? 2 : 4));
    if (still) {
      mesh.triangles.push_back({first, first + 1, first + 1});
    } else {
      mesh.triangles.push_back({first, first + 1, first + 2});
      mesh.triangles.push_back({first + 2, first + 1, first + 3});
    }
  }
  if (mesh.empty()) return k_far;
  const shape::Solid solid = shape::make_solid(std::move(mesh));
  const auto result =
      clearance::query_clearance(solid, *target_solid.solid, {}, {.tolerance_mm = 0.1});
  return result.upper_mm - 0.5 * diameter_mm - target_solid.error_mm;
}

std::vector<LineApproach> line_approaches(const Context& context, const FreeRunShapes& shapes,
                                          const PoseGrid& grid, double diameter_mm,
                                          const std::vector<LineTarget>& targets) {
  const PosedShapes posed(shapes, grid);
  const double length = shapes.solver.rod().length_mm;
  std::vector<LineApproach> approaches(targets.size());
  parallel_for(targets.size(), context.options.threads, [&](std::size_t t) {
    LineApproach& approach = approaches[t];
    approach = {targets[t], k_far, {}, {}};
    const TargetBox box(targets[t]);
    // Poses by their bound, nearest first: most never need the exact distance.
    std::vector<std::pair<double, std::size_t>> order(posed.size());
    for (std::size_t p = 0; p < posed.size(); ++p) {
      const std::optional<Box> there = box.at(posed.pose(p));
      order[p] = {(there ? posed.bound(*there, p) : k_far) - 0.5 * diameter_mm, p};
    }
    std::sort(order.begin(), order.end());
    std::size_t nearest = 0;
    for (const auto& [bound, p] : order) {
      if (bound >= approach.distance_mm || is_cancelled(context.options.progress)) break;
      const double d = line_distance(targets[t], posed.pose(p), posed.points(p), length,
                                     diameter_mm, approach.distance_mm);
      if (d < approach.distance_mm) {
        approach.distance_mm = d;
        approach.pose = posed.pose(p);
        nearest = p;
      }
    }
    if (approach.pose.empty()) return;
    approach.shape = posed.shape(nearest);
    approach.shape.points = posed.points(nearest);
    FreeRunRod rod = shapes.solver;
    refine(context, rod, diameter_mm, grid.step_mm, approach);
  });
  std::vector<LineApproach> met;
  for (LineApproach& approach : approaches) {
    if (!approach.pose.empty()) met.push_back(std::move(approach));
  }
  std::stable_sort(met.begin(), met.end(), [](const LineApproach& x, const LineApproach& y) {
    return x.distance_mm - x.target.wanted_mm < y.distance_mm - y.target.wanted_mm;
  });
  // The pieces of a chain are one thing to a person: the nearest stands for all.
  std::vector<LineApproach> one_each;
  for (LineApproach& approach : met) {
    const bool seen = std::any_of(one_each.begin(), one_each.end(), [&](const LineApproach& other) {
      return other.target.mover->owner == approach.target.mover->owner;
    });
    if (!seen) one_each.push_back(std::move(approach));
  }
  return one_each;
}

bool keeps_clear_at(FreeRunRod rod, double diameter_mm,
                    const std::vector<LineApproach>& approaches) {
  for (const LineApproach& a : approaches) {
    const RodShape shape = rod.solve_near(a.shape, a.pose);
    if (!shape.converged()) return false;  // does not reach
    const double d =
        line_distance(a.target, a.pose, shape.points, rod.rod().length_mm, diameter_mm);
    if (!(d > 0.0 && d >= a.target.wanted_mm)) return false;
  }
  return true;
}

}  // namespace bight::study
