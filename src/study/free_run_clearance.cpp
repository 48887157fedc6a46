#include "study/free_run_clearance.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

#include "base/parallel.h"
#include "clearance/query.h"
#include "free/hanging.h"
#include "free/reach_ellipsoid.h"

namespace bight::study {
namespace {

constexpr int k_segments =
    48;  ///< of the sampled line; chord error is far below the clearances asked for
constexpr std::size_t k_grid_poses = 600;  ///< aimed at; the worst poses are then refined
constexpr double k_refined_step_mm = 1.0;  ///< local search ends at this step

struct Target {
  const Mover* mover = nullptr;
  double wanted_mm = 0.0;
  bool skip_start = false;  ///< this end is fastened to the mover
  bool skip_end = false;
};

/// Anchors as seen from a mover.
free::AnchorPair seen_from(const free::AnchorPair& anchors, const Mover& mover) {
  free::AnchorPair relative = anchors;
  for (std::size_t j = 0; j < relative.joints.size(); ++j) {
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

/// Which joints change the picture at all: they move an anchor or a target.
std::vector<std::vector<double>> grid_values(const Context& context, const FreeRun& run,
                                             const std::vector<Target>& targets, double& step) {
  const auto& joints = context.machine.joints;
  std::vector<std::size_t> moving;
  for (std::size_t j = 0; j < joints.size(); ++j) {
    bool matters = run.anchors.joints[j].start != run.anchors.joints[j].end;
    for (const Target& t : targets) {
      matters = matters || t.mover->motion[j] != run.anchors.joints[j].start;
    }
    if (matters && joints[j].travel[1] > joints[j].travel[0]) moving.push_back(j);
  }
  // Equal steps along all joints, at least the two ends of each.
  double product = 1.0;
  for (const std::size_t j : moving) product *= joints[j].travel[1] - joints[j].travel[0];
  const double wanted_step = moving.empty() ? 1.0
                                            : std::pow(product / static_cast<double>(k_grid_poses),
                                                       1.0 / static_cast<double>(moving.size()));
  std::vector<std::vector<double>> values(joints.size());
  const std::vector<double> neutral = neutral_pose(context.machine);
  step = 0.0;
  for (std::size_t j = 0; j < joints.size(); ++j) {
    const bool moves = std::find(moving.begin(), moving.end(), j) != moving.end();
    if (!moves) {
      values[j] = {neutral[j]};
      continue;
    }
    const double span = joints[j].travel[1] - joints[j].travel[0];
    const int count = std::max(1, static_cast<int>(std::ceil(span / wanted_step)));
    step = std::max(step, span / count);
    for (int i = 0; i <= count; ++i) values[j].push_back(joints[j].travel[0] + span * i / count);
  }
  return values;
}

std::vector<double> grid_pose(const std::vector<std::vector<double>>& values, std::size_t index) {
  std::vector<double> pose(values.size());
  for (std::size_t j = 0; j < values.size(); ++j) {
    pose[j] = values[j][index % values[j].size()];
    index /= values[j].size();
  }
  return pose;
}

/// The sampled line as a chain of segments (triangles without area), without `skip` mm at its ends.
shape::Mesh polyline(const std::vector<Vec3>& points, double length_mm, double skip_start_mm,
                     double skip_end_mm) {
  shape::Mesh mesh;
  const double piece = length_mm / static_cast<double>(points.size() - 1);
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    const double s = piece * static_cast<double>(i);
    if (s < skip_start_mm || s + piece > length_mm - skip_end_mm) continue;
    const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
    mesh.vertices.push_back(points[i]);
    mesh.vertices.push_back(points[i + 1]);
    mesh.triangles.push_back({first, first + 1, first + 1});
  }
  return mesh;
}

/// The line at one pose, with boxes around equal pieces of it for a quick bound of its distance.
struct LineShape {
  static constexpr int k_pieces = 8;
  std::vector<Vec3> points;
  std::array<Box, k_pieces> boxes;
};

LineShape boxed(std::vector<Vec3> points) {
  LineShape shape{std::move(points), {}};
  const std::size_t segments = shape.points.empty() ? 0 : shape.points.size() - 1;
  for (std::size_t i = 0; i < segments; ++i) {
    Box& box = shape.boxes[i * LineShape::k_pieces / segments];
    box.extend(shape.points[i]);
    box.extend(shape.points[i + 1]);
  }
  return shape;
}

double box_distance(const Box& a, const Box& b) {
  const Vec3 gap = glm::max(glm::max(a.lower - b.upper, b.lower - a.upper), Vec3(0.0));
  return glm::length(gap);
}

/// The line at a pose and its distance to the targets.
class Sampler {
 public:
  Sampler(const FreeRun& run, double length_mm, double diameter_mm,
          const std::vector<Target>& targets)
      : run_(run), length_(length_mm), radius_(0.5 * diameter_mm), targets_(targets) {
    for (const Target& t : targets) boxes_.push_back(shape::bounds(t.mover->solid->mesh));
  }

  LineShape shape_at(const std::vector<double>& pose) const {
    return boxed(free::hang_at(run_.anchors, pose, length_, 1.0, k_segments).points);
  }

  /// Never more than the distance: from boxes around pieces of the line to the box of the target.
  double bound(std::size_t target, const std::vector<double>& pose, const LineShape& shape) const {
    const std::optional<Vec3> shift = shift_of(target, pose);
    if (!shift || shape.points.empty()) return k_far;
    const Box there = translated(boxes_[target], *shift);
    double nearest = k_far;
    for (const Box& box : shape.boxes) nearest = std::min(nearest, box_distance(box, there));
    return nearest - radius_;
  }

  /// Distance of the line's surface to the target; infinite where the target is not there.
  double distance(std::size_t target, const std::vector<double>& pose,
                  const LineShape& shape) const {
    const Target& t = targets_[target];
    const std::optional<Vec3> shift = shift_of(target, pose);
    if (!shift || shape.points.empty()) return k_far;
    // Where the line is fastened to the target, its first piece is near by design.
    const double skip = 4.0 * radius_ + 20.0;
    shape::Mesh mesh =
        polyline(shape.points, length_, t.skip_start ? skip : 0.0, t.skip_end ? skip : 0.0);
    if (mesh.empty()) return k_far;
    const shape::Solid solid = shape::make_solid(shape::translated(std::move(mesh), -*shift));
    const auto result =
        clearance::query_clearance(solid, *t.mover->solid, {}, {.tolerance_mm = 0.1});
    return result.upper_mm - radius_;
  }

  static constexpr double k_far = std::numeric_limits<double>::infinity();

 private:
  /// Where the target is; nothing when it is not there at this pose (a piece of a chain).
  std::optional<Vec3> shift_of(std::size_t target, const std::vector<double>& pose) const {
    const Mover& mover = *targets_[target].mover;
    Vec3 shift(0.0);
    for (std::size_t j = 0; j < pose.size(); ++j) {
      if (pose[j] < mover.range[j][0] || pose[j] > mover.range[j][1]) return {};
      shift += pose[j] * mover.motion[j];
    }
    return shift;
  }

  const FreeRun& run_;
  double length_;
  double radius_;
  const std::vector<Target>& targets_;
  std::vector<Box> boxes_;
};

/// Pattern search from a pose of the grid: one joint at a time, the step halved when nothing gets
/// nearer.
void refine(const Context& context, const Sampler& sampler, std::size_t target, double step,
            LineApproach& approach) {
  const auto& joints = context.machine.joints;
  for (double h = 0.5 * step; h >= k_refined_step_mm; h *= 0.5) {
    for (std::size_t j = 0; j < joints.size(); ++j) {
      for (const double sign : {1.0, -1.0}) {
        std::vector<double> pose = approach.pose;
        pose[j] = std::clamp(pose[j] + sign * h, joints[j].travel[0], joints[j].travel[1]);
        if (pose[j] == approach.pose[j]) continue;
        const LineShape shape = sampler.shape_at(pose);
        if (sampler.bound(target, pose, shape) >= approach.distance_mm) continue;
        const double d = sampler.distance(target, pose, shape);
        if (d < approach.distance_mm) {
          approach.distance_mm = d;
          approach.pose = pose;
        }
      }
    }
  }
}

}  // namespace

FreeRunClearance free_run_clearance(const Context& context, const FreeRun& run, double length_mm,
                                    double diameter_mm, const std::vector<Mover>& movers) {
  FreeRunClearance check;
  const plan::Leg& leg = run.run->legs[run.leg];
  std::vector<Target> targets;
  for (const Mover& mover : movers) {
    if (listed(leg.may_touch, mover)) continue;
    const double rule = context.plan.rules.free_line_clearance;
    const bool start = fastened(run.from, mover, rule);
    const bool end = fastened(run.to, mover, rule);
    const double wanted = start || end ? 0.0 : rule;
    if (!start && !end &&
        free::proved_out_of_reach(seen_from(run.anchors, mover), length_mm, 0.5 * diameter_mm,
                                  wanted, shape::bounds(mover.solid->mesh))) {
      ++check.proved;
      continue;
    }
    targets.push_back({&mover, wanted, start, end});
  }
  if (targets.empty()) return check;

  const auto values = grid_values(context, run, targets, check.step_mm);
  check.poses = 1;
  for (const auto& v : values) check.poses *= v.size();
  const Sampler sampler(run, length_mm, diameter_mm, targets);
  std::vector<LineShape> shapes(check.poses);
  parallel_for(check.poses, context.options.threads,
               [&](std::size_t i) { shapes[i] = sampler.shape_at(grid_pose(values, i)); });
  std::vector<LineApproach> approaches(targets.size());
  parallel_for(targets.size(), context.options.threads, [&](std::size_t t) {
    LineApproach& approach = approaches[t];
    approach = {targets[t].mover,      Sampler::k_far,      targets[t].wanted_mm,
                targets[t].skip_start, targets[t].skip_end, {}};
    // Poses by their bound, nearest first: most never need the exact distance.
    std::vector<std::pair<double, std::size_t>> order(check.poses);
    for (std::size_t i = 0; i < check.poses; ++i) {
      order[i] = {sampler.bound(t, grid_pose(values, i), shapes[i]), i};
    }
    std::sort(order.begin(), order.end());
    for (const auto& [bound, i] : order) {
      if (bound >= approach.distance_mm || is_cancelled(context.options.progress)) break;
      const auto pose = grid_pose(values, i);
      const double d = sampler.distance(t, pose, shapes[i]);
      if (d < approach.distance_mm) {
        approach.distance_mm = d;
        approach.pose = pose;
      }
    }
    if (!approach.pose.empty()) refine(context, sampler, t, check.step_mm, approach);
  });
  for (LineApproach& approach : approaches) {
    if (!approach.pose.empty()) check.approaches.push_back(std::move(approach));
  }
  std::stable_sort(check.approaches.begin(), check.approaches.end(),
                   [](const LineApproach& x, const LineApproach& y) {
                     return x.distance_mm - x.wanted_mm < y.distance_mm - y.wanted_mm;
                   });
  // The pieces of a chain are one thing to a person: the nearest stands for all.
  std::vector<LineApproach> one_each;
  for (LineApproach& approach : check.approaches) {
    const bool seen = std::any_of(one_each.begin(), one_each.end(), [&](const LineApproach& other) {
      return other.mover->owner == approach.mover->owner;
    });
    if (!seen) one_each.push_back(std::move(approach));
  }
  check.approaches = std::move(one_each);
  return check;
}

bool keeps_clear_at(const FreeRun& run, double length_mm, double diameter_mm,
                    const std::vector<LineApproach>& approaches) {
  std::vector<Target> targets;
  for (const LineApproach& a : approaches) {
    targets.push_back({a.mover, a.wanted_mm, a.at_start, a.at_end});
  }
  const Sampler sampler(run, length_mm, diameter_mm, targets);
  for (std::size_t t = 0; t < targets.size(); ++t) {
    const LineShape shape = sampler.shape_at(approaches[t].pose);
    if (shape.points.empty()) return false;  // does not reach
    const double distance = sampler.distance(t, approaches[t].pose, shape);
    if (!(distance > 0.0 && distance >= targets[t].wanted_mm)) return false;
  }
  return true;
}

}  // namespace bight::study
