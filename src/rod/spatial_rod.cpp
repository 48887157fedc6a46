#include "rod/spatial_rod.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/check.h"
#include "base/tolerance.h"
#include "rod/energy.h"

namespace bight::rod {
namespace {

constexpr double k_Nmm2_per_Nm2 = 1e6;

bool is_unit(const std::optional<Vec3>& v) {
  return !v || std::abs(glm::length(*v) - 1.0) < 1e-6;  // false for NaN
}

bool valid(const SpatialRodProblem& p) {
  bool ok = p.length_mm > 0.0 && std::isfinite(p.length_mm) && p.mass_kg_m >= 0.0 &&
            std::isfinite(p.mass_kg_m) && p.stiffness_Nm2 > 0.0 && std::isfinite(p.stiffness_Nm2) &&
            is_finite(p.start) && is_finite(p.end) && is_unit(p.start_tangent) &&
            is_unit(p.end_tangent) && is_unit(p.end_slide) && p.radius_mm >= 0.0 &&
            std::isfinite(p.radius_mm);
  for (const PointMass& m : p.point_masses) {
    ok = ok && m.at_mm >= 0.0 && m.at_mm <= p.length_mm && m.mass_kg >= 0.0 &&
         std::isfinite(m.mass_kg);
  }
  if (p.space == RodSpace::xz_plane) ok = ok && (p.end_is_free || p.end.y == p.start.y);
  if (p.end_slide) {
    ok = ok && !p.end_is_free && (p.space == RodSpace::full || p.end_slide->y == 0.0);
  }
  for (const Obstacle& obstacle : p.obstacles) {
    const auto* surface = std::get_if<std::shared_ptr<const ContactSurface>>(&obstacle);
    ok = ok && (surface == nullptr || *surface != nullptr);
    const auto* half = std::get_if<HalfSpace>(&obstacle);
    ok = ok && (half == nullptr || (is_finite(half->point) && is_unit(half->normal)));
  }
  if (p.limits) {
    ok = ok && p.space == RodSpace::xz_plane && p.limits->least_per_m <= 0.0 &&
         p.limits->greatest_per_m >= 0.0;
  }
  return ok;
}

/// Axes of which the first is `along`.
Mat3 axes_along(const Vec3& along) {
  const Vec3 other =
      std::abs(along.z) < 0.9 ? Vec3(0.0, 0.0, 1.0) : Vec3(1.0, 0.0, 0.0);  // well off it
  const Vec3 second = glm::normalize(glm::cross(other, along));
  return {along, second, glm::cross(along, second)};
}

/// slope x identity + bend x d d^T.
Mat3 hessian(const BendTerm& t, const Vec3& d) {
  return Mat3(t.slope) + t.bend * glm::outerProduct(d, d);
}

}  // namespace

SpatialRodSolver::SpatialRodSolver(int segments)
    : segments_(segments),
      planar_(segments),
      matrix_(4 * static_cast<std::size_t>(segments)),
      step_(4 * static_cast<std::size_t>(segments)),
      correction_(4 * static_cast<std::size_t>(segments)) {
  const auto n = static_cast<std::size_t>(segments);
  weight_.resize(n + 1);
  position_.resize(n + 1);
  force_.resize(n + 1);
  saved_position_.resize(n + 1);
  tension_.resize(n);
  stretch_.resize(n);
  saved_tension_.resize(n);
}

bool SpatialRodSolver::set_problem(const SpatialRodProblem& p) {
  if (!valid(p)) return false;
  problem_ = p;
  const double length = p.length_mm;
  double weight = p.mass_kg_m * k_gravity / 1000.0 * length;
  const double line_weight = weight;
  for (const PointMass& m : p.point_masses) weight += m.mass_kg * k_gravity;
  const double ei = p.stiffness_Nm2 * k_Nmm2_per_Nm2;
  force_N_ = weight + ei / (length * length);
  bend_ = ei / (length * length) / force_N_;
  if (p.end_slide) slide_ = axes_along(*p.end_slide);
  std::fill(weight_.begin(), weight_.end(), line_weight / force_N_ * link());
  weight_.front() *= 0.5;
  weight_.back() *= 0.5;
  for (const PointMass& m : p.point_masses) {
    const double load = m.mass_kg * k_gravity / force_N_;
    const double at = m.at_mm / length * segments_;
    for (std::size_t i = 0; i < weight_.size(); ++i) {
      weight_[i] += load * std::max(0.0, 1.0 - std::abs(at - static_cast<double>(i)));
    }
  }
  return true;
}

bool SpatialRodSolver::is_fixed(std::size_t joint, int axis) const {
  if (joint == 0) return true;
  if (joint + 1 == position_.size() && !problem_.end_is_free) {
    return !problem_.end_slide || axis != 0;
  }
  return axis == 1 && problem_.space == RodSpace::xz_plane;
}

/// Gradient of energy + tension x stretch - multiplier x inequality; returns the residual of the
/// barrier problem. The gradient at fixed joints is what their supports bear.
double SpatialRodSolver::evaluate() {
  const std::size_t n = tension_.size();
  const double l = link();
  for (std::size_t i = 0; i <= n; ++i) force_[i] = Vec3(0.0, 0.0, weight_[i]);
  double worst = 0.0;
  for (std::size_t j = 0; j < n; ++j) {
    const Vec3 e = position_[j + 1] - position_[j];
    stretch_[j] = (glm::dot(e, e) - l * l) / (2.0 * l);
    worst = std::max(worst, std::abs(stretch_[j]) / l);
    const Vec3 pull = tension_[j] / l * e;
    force_[j + 1] += pull;
    force_[j] -= pull;
  }
  for (std::size_t i = 1; i < n; ++i) {
    const Vec3 d = (position_[i + 1] - position_[i]) - (position_[i] - position_[i - 1]);
    const Vec3 g = bend_term(bend_, l, glm::dot(d, d)).slope * d;
    force_[i - 1] += g;
    force_[i] -= 2.0 * g;
    force_[i + 1] += g;
  }
  if (problem_.start_tangent) {
    const Vec3 d = position_[1] - position_[0] - l * *problem_.start_tangent;
    const Vec3 g = bend_term(2.0 * bend_, l, glm::dot(d, d)).slope * d;
    force_[1] += g;
    force_[0] -= g;
  }
  if (problem_.end_tangent && !problem_.end_is_free) {
    const Vec3 d = position_[n] - position_[n - 1] - l * *problem_.end_tangent;
    const Vec3 g = bend_term(2.0 * bend_, l, glm::dot(d, d)).slope * d;
    force_[n] += g;
    force_[n - 1] -= g;
  }
  for (Inequality& q : inequalities_) {
    evaluate_inequality(q);
    for (std::size_t k = 0; k < 3; ++k) {
      const std::size_t joint = q.joint + k;
      if (joint >= 1 && joint <= n + 1) force_[joint - 1] -= q.multiplier * q.gradient[k];
    }
    worst = std::max(worst, std::abs(q.value - q.slack));
  }
  worst = std::max(worst, complementarity());
  bool finite = std::isfinite(worst);
  const auto unbalanced = [&](double force) {
    finite = finite && std::isfinite(force);
    worst = std::max(worst, std::abs(force));
  };
  const std::size_t last = problem_.end_is_free ? n : n - 1;
  for (std::size_t i = 1; i <= last; ++i) {
    for (int axis = 0; axis < 3; ++axis) {
      if (!is_fixed(i, axis)) unbalanced(force_[i][axis]);
    }
  }
  if (problem_.end_slide) unbalanced(glm::dot(force_[n], slide_[0]));
  return finite ? worst : std::numeric_limits<double>::infinity();
}

double SpatialRodSolver::energy() const {
  const std::size_t n = tension_.size();
  const double l = link();
  double sum = 0.0;
  for (std::size_t i = 0; i <= n; ++i) sum += weight_[i] * position_[i].z;
  for (std::size_t i = 1; i < n; ++i) {
    const Vec3 d = (position_[i + 1] - position_[i]) - (position_[i] - position_[i - 1]);
    sum += bend_term(bend_, l, glm::dot(d, d)).energy;
  }
  if (problem_.start_tangent) {
    const Vec3 d = position_[1] - position_[0] - l * *problem_.start_tangent;
    sum += bend_term(2.0 * bend_, l, glm::dot(d, d)).energy;
  }
  if (problem_.end_tangent && !problem_.end_is_free) {
    const Vec3 d = position_[n] - position_[n - 1] - l * *problem_.end_tangent;
    sum += bend_term(2.0 * bend_, l, glm::dot(d, d)).energy;
  }
  return sum;
}

/// Adds to the rows of joint `a` and the columns of joint `b` <= a; fixed unknowns take no part.
void SpatialRodSolver::add_block(std::size_t a, std::size_t b, const Mat3& global) {
  if (b == 0) return;
  const bool is_end = a + 1 == position_.size() && !problem_.end_is_free;
  if (problem_.space == RodSpace::full && !(is_end && problem_.end_slide)) {
    if (!is_end) matrix_.add_block(4 * (a - 1), 4 * (b - 1), global);
    return;
  }
  Mat3 block = global;
  if (is_end && problem_.end_slide) {
    block = glm::transpose(slide_) * block;
    if (a == b) block = block * slide_;
  }
  for (int r = 0; r < 3; ++r) {
    if (is_fixed(a, r)) continue;
    const std::size_t row = 4 * (a - 1) + static_cast<std::size_t>(r);
    const int columns = a == b ? r : 2;
    for (int c = 0; c <= columns; ++c) {
      if (is_fixed(b, c)) continue;
      matrix_.add(row, 4 * (b - 1) + static_cast<std::size_t>(c), block[c][r]);
    }
  }
}

/// True when the matrix has the inertia of a strict minimum: one negative pivot a link.
bool SpatialRodSolver::factor(double shift) {
  const std::size_t n = tension_.size();
  const double l = link();
  matrix_.clear();
  for (std::size_t i = 1; i <= n; ++i) {
    for (int axis = 0; axis < 3; ++axis) {
      const std::size_t row = 4 * (i - 1) + static_cast<std::size_t>(axis);
      matrix_.add(row, row, is_fixed(i, axis) ? 1.0 : shift);
    }
  }
  for (std::size_t j = 0; j < n; ++j) {
    const Vec3 e = (position_[j + 1] - position_[j]) / l;
    const Mat3 pull(tension_[j] / l);
    add_block(j + 1, j + 1, pull);
    if (j > 0) {
      add_block(j, j, pull);
      add_block(j + 1, j, -pull);
    }
    const std::size_t row = 4 * j + 3;
    if (j + 1 == n && problem_.end_slide) matrix_.add(row, 4 * j, glm::dot(e, slide_[0]));
    for (int axis = 0; axis < 3; ++axis) {
      const auto a = static_cast<std::size_t>(axis);
      const bool slides = j + 1 == n && problem_.end_slide;
      if (!slides && !is_fixed(j + 1, axis)) matrix_.add(row, 4 * j + a, e[axis]);
      if (j > 0 && !is_fixed(j, axis)) matrix_.add(row, 4 * (j - 1) + a, -e[axis]);
    }
  }
  for (std::size_t i = 1; i < n; ++i) {
    const Vec3 d = (position_[i + 1] - position_[i]) - (position_[i] - position_[i - 1]);
    const Mat3 h = hessian(bend_term(bend_, l, glm::dot(d, d)), d);
    add_block(i + 1, i + 1, h);
    add_block(i + 1, i, -2.0 * h);
    add_block(i + 1, i - 1, h);
    add_block(i, i, 4.0 * h);
    add_block(i, i - 1, -2.0 * h);
    if (i > 1) add_block(i - 1, i - 1, h);
  }
  if (problem_.start_tangent) {
    const Vec3 d = position_[1] - position_[0] - l * *problem_.start_tangent;
    add_block(1, 1, hessian(bend_term(2.0 * bend_, l, glm::dot(d, d)), d));
  }
  if (problem_.end_tangent && !problem_.end_is_free) {
    const Vec3 d = position_[n] - position_[n - 1] - l * *problem_.end_tangent;
    const Mat3 h = hessian(bend_term(2.0 * bend_, l, glm::dot(d, d)), d);
    add_block(n - 1, n - 1, h);
    if (problem_.end_slide) {
      add_block(n, n, h);
      add_block(n, n - 1, -h);
    }
  }
  add_inequalities();
  return matrix_.factor() == n;
}

}  // namespace bight::rod
