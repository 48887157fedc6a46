// Contact and curvature limits of the spatial rod: slacks, multipliers and what they add to the
// Newton matrix.

#include <algorithm>
#include <cmath>

#include "rod/spatial_rod.h"

namespace bight::rod {
namespace {

/// Component of a x b against +Y: the sense in which curvature counts positive in the x-z plane.
double turn(const Vec3& a, const Vec3& b) {
  return a.x * b.z - a.z * b.x;
}

/// Derivatives of turn(a, b) by b and by a.
Vec3 turn_by_second(const Vec3& a) {
  return {-a.z, 0.0, a.x};
}
Vec3 turn_by_first(const Vec3& b) {
  return {b.z, 0.0, -b.x};
}

/// Second derivative of turn(a, b) by a (rows) and b (columns).
Mat3 turn_cross() {
  Mat3 m(0.0);
  m[2][0] = 1.0;
  m[0][2] = -1.0;
  return m;
}

}  // namespace

void SpatialRodSolver::set_inequalities() {
  inequalities_.clear();
  const std::size_t n = tension_.size();
  const std::size_t last = problem_.end_is_free ? n : n - 1;
  for (std::size_t k = 0; k < problem_.obstacles.size(); ++k) {
    for (std::size_t i = 1; i <= last; ++i) {
      Inequality q;
      q.joint = i;
      q.obstacle = k;
      inequalities_.push_back(q);
    }
  }
  if (problem_.limits) {
    const double per_link = problem_.length_mm / 1000.0 * link();
    for (std::size_t i = 0; i <= n; ++i) {
      const bool clamp = i == 0 || i == n;
      if (i == 0 && !problem_.start_tangent) continue;
      if (i == n && (problem_.end_is_free || !problem_.end_tangent)) continue;
      for (const double side : {-1.0, 1.0}) {
        const double limit =
            side > 0.0 ? problem_.limits->greatest_per_m : problem_.limits->least_per_m;
        // A joint of two links of length l turns by 2 atan(k l / 2); half a cell by half of it.
        const double angle = 2.0 * std::atan(0.5 * limit * per_link) * (clamp ? 0.5 : 1.0);
        Inequality q;
        q.joint = i;
        q.side = side;
        q.bound = std::sin(angle);
        inequalities_.push_back(q);
      }
    }
  }
  saved_inequality_.resize(inequalities_.size());
}

/// Slacks from the present shape, pushed into the positive.
void SpatialRodSolver::start_inequalities(double barrier) {
  barrier_ = inequalities_.empty() ? 0.0 : barrier;
  for (Inequality& q : inequalities_) {
    evaluate_inequality(q);
    const double least = q.side == 0.0 ? 0.1 * link() : 1e-3;
    q.slack = std::max(q.value, least);
    q.multiplier = barrier_ / q.slack;
  }
}

void SpatialRodSolver::evaluate_inequality(Inequality& q) const {
  const std::size_t n = tension_.size();
  q.gradient = {};
  if (q.side == 0.0) {
    const double length = problem_.length_mm;
    const Distance d =
        distance_to(problem_.obstacles[q.obstacle], problem_.start + length * position_[q.joint]);
    q.value = (d.value_mm - problem_.radius_mm) / length + offset_;
    q.gradient[1] = d.normal;
    // While inside, the curvature grows without bound towards an axis, and helps nothing.
    q.curvature = q.value > 0.0 ? length * d.curvature : Mat3(0.0);
    return;
  }
  // value = +-(bound - sine of the turn), sine = turn(a, b) / l^2.
  const double l = link();
  const Vec3 a =
      q.joint == 0 ? l * *problem_.start_tangent : position_[q.joint] - position_[q.joint - 1];
  const Vec3 b =
      q.joint == n ? l * *problem_.end_tangent : position_[q.joint + 1] - position_[q.joint];
  const double scale = -q.side / (l * l);
  q.value = q.side * q.bound + scale * turn(a, b);
  if (q.joint > 0) {
    const Vec3 by_a = scale * turn_by_first(b);
    q.gradient[1] += by_a;
    q.gradient[0] -= by_a;
  }
  if (q.joint < n) {
    const Vec3 by_b = scale * turn_by_second(a);
    q.gradient[2] += by_b;
    q.gradient[1] -= by_b;
  }
}

/// (multiplier / slack) gradient gradient^T - multiplier x Hessian.
void SpatialRodSolver::add_inequalities() {
  const std::size_t n = tension_.size();
  const double l = link();
  for (const Inequality& q : inequalities_) {
    const double stiffness = q.multiplier / q.slack;
    if (q.side == 0.0) {
      const Mat3 block =
          stiffness * glm::outerProduct(q.gradient[1], q.gradient[1]) - q.multiplier * q.curvature;
      add_block(q.joint, q.joint, block);
      continue;
    }
    // Joints 0 to n; joint - 1 + k stands for gradient k.
    for (std::size_t k = 0; k < 3; ++k) {
      for (std::size_t m = 0; m <= k; ++m) {
        if (q.joint + m < 2 || q.joint + k > n + 1) continue;  // before the first free joint
        add_block(q.joint + k - 1, q.joint + m - 1,
                  stiffness * glm::outerProduct(q.gradient[k], q.gradient[m]));
      }
    }
    if (q.joint == 0 || q.joint == n) continue;  // linear there: the clamp is fixed
    // turn(a, b) with a = x1 - x0, b = x2 - x1. C has rows a, columns b.
    const double weight = -q.multiplier * -q.side / (l * l);
    const Mat3 c = weight * turn_cross();
    const Mat3 t = glm::transpose(c);
    add_block(q.joint, q.joint, -(c + t));
    if (q.joint > 1) {
      add_block(q.joint + 1, q.joint - 1, -t);
      add_block(q.joint, q.joint - 1, t);
    }
    add_block(q.joint + 1, q.joint, t);
  }
}

double SpatialRodSolver::complementarity() const {
  double worst = 0.0;
  for (const Inequality& q : inequalities_) {
    worst = std::max(worst, std::abs(q.slack * q.multiplier - barrier_) * segments_);
  }
  return worst;
}

}  // namespace bight::rod
