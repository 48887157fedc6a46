#include "free/sampled_shapes.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "base/check.h"
#include "base/parallel.h"
#include "free/line_geometry.h"

namespace bight::free {
namespace {

bool upright_or_pinned(const std::optional<Vec3>& direction) {
  constexpr double k_upright = 1e-9;  // unit vectors: sine of the lean
  return !direction || std::hypot(direction->x, direction->y) <= k_upright;
}

/// Poses in rows along the last moving joint, so that neighbours in a row are near each other and
/// each solve starts from the last. Rows are independent: any thread may take any row.
class PoseGrid {
 public:
  PoseGrid(const AnchorPair& anchors, int steps) : anchors_(anchors), steps_(steps) {
    for (std::size_t i = 0; i < anchors.joints.size(); ++i) {
      const JointMotion& j = anchors.joints[i];
      const bool moves = (j.start != Vec3(0.0) || j.end != Vec3(0.0)) && j.lower < j.upper;
      if (moves) moving_.push_back(i);
    }
    for (std::size_t k = 0; k + 1 < moving_.size(); ++k) rows_ *= per_joint();
  }

  std::size_t rows() const { return rows_; }
  std::size_t row_length() const { return moving_.empty() ? 1 : per_joint(); }

  Pose pose(std::size_t row, std::size_t column) const {
    Pose q;
    for (const JointMotion& j : anchors_.joints) q.push_back(j.lower);
    std::size_t rest = row;
    for (std::size_t k = 0; k + 1 < moving_.size(); ++k) {
      set(q, moving_[k], rest % per_joint());
      rest /= per_joint();
    }
    if (!moving_.empty()) set(q, moving_.back(), column);
    return q;
  }

  double largest_step() const {
    double most = 0.0;
    for (const std::size_t i : moving_) {
      const JointMotion& j = anchors_.joints[i];
      const double motion = std::max(glm::length(j.start), glm::length(j.end));
      most = std::max(most, motion * (j.upper - j.lower) / steps_);
    }
    return most;
  }

 private:
  std::size_t per_joint() const { return static_cast<std::size_t>(steps_) + 1; }
  void set(Pose& q, std::size_t joint, std::size_t step) const {
    const JointMotion& j = anchors_.joints[joint];
    q[joint] = j.lower + (j.upper - j.lower) * static_cast<double>(step) / steps_;
  }

  const AnchorPair& anchors_;
  int steps_;
  std::vector<std::size_t> moving_;
  std::size_t rows_ = 1;
};

void keep_least(std::optional<SampledExtreme>& best, double value, const Pose& pose) {
  if (!best || value < best->value) best = {value, pose};
}

/// Adds row results to a whole in a fixed order.
void merge(SampledShapes& whole, const SampledShapes& row) {
  whole.poses += row.poses;
  whole.failed += row.failed;
  whole.too_short += row.too_short;
  if (!whole.first_failed) whole.first_failed = row.first_failed;
  whole.cancelled = whole.cancelled || row.cancelled;
  if (row.smallest_radius) {
    keep_least(whole.smallest_radius, row.smallest_radius->value, row.smallest_radius->pose);
  }
  if (row.lowest) keep_least(whole.lowest, row.lowest->value, row.lowest->pose);
  if (row.greatest_pull &&
      (!whole.greatest_pull || row.greatest_pull->value > whole.greatest_pull->value)) {
    whole.greatest_pull = row.greatest_pull;
  }
}

/// What one pose adds: status, radius, lowest Z, pull.
struct Solved {
  rod::RodReport report;
  double radius = 0.0;
  double lowest = 0.0;
  double pull = 0.0;
};

template <class Solve>
SampledShapes solve_row(const PoseGrid& grid, std::size_t row, Progress* progress, Solve&& solve) {
  SampledShapes r;
  for (std::size_t column = 0; column < grid.row_length(); ++column) {
    if (is_cancelled(progress)) {
      r.cancelled = true;
      return r;
    }
    const Pose pose = grid.pose(row, column);
    const Solved s = solve(pose);
    ++r.poses;
    if (progress != nullptr) progress->step();
    if (!s.report.converged()) {
      ++r.failed;
      r.too_short += s.report.status == rod::RodStatus::too_short ? 1 : 0;
      if (!r.first_failed) r.first_failed = pose;
      continue;
    }
    keep_least(r.smallest_radius, s.radius, pose);
    keep_least(r.lowest, s.lowest, pose);
    if (!r.greatest_pull || s.pull > r.greatest_pull->value) r.greatest_pull = {s.pull, pose};
  }
  return r;
}

}  // namespace

bool hangs_in_plane(const AnchorPair& anchors) {
  return upright_or_pinned(anchors.start_direction) && upright_or_pinned(anchors.end_direction);
}

rod::PlanarRodProblem planar_problem(const AnchorPair& anchors, const Pose& pose,
                                     const StiffLine& line) {
  BIGHT_CHECK(hangs_in_plane(anchors));
  const Ends ends = LineGeometry(anchors).ends(pose);
  rod::PlanarRodProblem p;
  p.length_mm = line.length_mm;
  p.mass_kg_m = line.mass_kg_m;
  p.stiffness_Nm2 = line.stiffness_Nm2;
  p.end = {ends.run, ends.rise};
  if (anchors.start_direction) {
    p.at_start = {rod::EndKind::clamped, anchors.start_direction->z > 0.0 ? 90.0 : -90.0};
  }
  // The line leaves its end against the sense start -> end.
  if (anchors.end_direction) {
    p.at_end = {rod::EndKind::clamped, anchors.end_direction->z > 0.0 ? -90.0 : 90.0};
  }
  return p;
}

rod::SpatialRodProblem spatial_problem(const AnchorPair& anchors, const Pose& pose,
                                       const StiffLine& line) {
  rod::SpatialRodProblem p;
  p.length_mm = line.length_mm;
  p.mass_kg_m = line.mass_kg_m;
  p.stiffness_Nm2 = line.stiffness_Nm2;
  p.start = start_at(anchors, pose);
  p.end = end_at(anchors, pose);
  p.start_tangent = anchors.start_direction;
  if (anchors.end_direction) p.end_tangent = -*anchors.end_direction;
  return p;
}

SampledShapes sample_shapes(const AnchorPair& anchors, const StiffLine& line,
                            const SampleOptions& options, Progress* progress) {
  BIGHT_CHECK(options.steps_per_joint >= 1);
  const PoseGrid grid(anchors, options.steps_per_joint);
  if (progress != nullptr) progress->add_total(grid.rows() * grid.row_length());
  std::vector<SampledShapes> rows(grid.rows());
  const bool planar = hangs_in_plane(anchors);
  parallel_for(grid.rows(), options.threads, [&](std::size_t row) {
    if (planar) {
      rod::PlanarRodSolver solver(options.segments);
      rows[row] = solve_row(grid, row, progress, [&](const Pose& pose) {
        Solved s{solver.solve(planar_problem(anchors, pose, line))};
        if (!s.report.converged()) return s;
        const rod::PlanarRodFigures f = solver.figures();
        s.radius = f.smallest_radius_mm;
        s.lowest = start_at(anchors, pose).z + f.lowest.y;
        s.pull = f.greatest_tension_N;
        return s;
      });
    } else {
      rod::SpatialRodSolver solver(options.segments);
      rows[row] = solve_row(grid, row, progress, [&](const Pose& pose) {
        Solved s{solver.solve(spatial_problem(anchors, pose, line))};
        if (!s.report.converged()) return s;
        const rod::SpatialRodFigures f = solver.figures();
        s.radius = f.smallest_radius_mm;
        s.lowest = f.lowest.z;
        s.pull = f.greatest_tension_N;
        return s;
      });
    }
  });
  SampledShapes whole;
  whole.planar = planar;
  whole.largest_step_mm = grid.largest_step();
  for (const SampledShapes& row : rows) merge(whole, row);
  return whole;
}

}  // namespace bight::free
