#include "rod/planar_rod.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "base/check.h"
#include "base/tolerance.h"

namespace bight::rod {
namespace {

/// Of a step before a line search gives up.
constexpr int k_halvings = 30;

constexpr double k_radians = std::numbers::pi / 180.0;
constexpr double k_Nmm2_per_Nm2 = 1e6;

bool valid(const PlanarRodProblem& p) {
  bool ok = p.length_mm > 0.0 && std::isfinite(p.length_mm) && p.mass_kg_m >= 0.0 &&
            std::isfinite(p.mass_kg_m) && p.stiffness_Nm2 > 0.0 && std::isfinite(p.stiffness_Nm2) &&
            std::isfinite(p.end.x) && std::isfinite(p.end.y) &&
            std::isfinite(p.at_start.angle_deg) && std::isfinite(p.at_end.angle_deg) &&
            std::isfinite(p.natural_curvature_per_m) && p.at_start.kind != EndKind::free;
  if (p.end_slide_deg) ok = ok && std::isfinite(*p.end_slide_deg) && p.at_end.kind != EndKind::free;
  for (const PointMass& m : p.point_masses) {
    ok = ok && m.at_mm >= 0.0 && m.at_mm <= p.length_mm && m.mass_kg >= 0.0 &&
         std::isfinite(m.mass_kg);
  }
  return ok;
}

}  // namespace

PlanarRodSolver::PlanarRodSolver(int segments) : segments_(segments) {
  BIGHT_CHECK(segments >= 4);
  const auto n = static_cast<std::size_t>(segments);
  for (auto* v : {&beyond_, &angle_, &sine_, &cosine_, &gradient_, &inverse_pivot_, &factor_,
                  &border_h_, &border_v_, &step_, &trial_}) {
    v->resize(n);
  }
}

bool PlanarRodSolver::set_problem(const PlanarRodProblem& p) {
  if (!valid(p)) return false;
  // Assigned field by field so that a warm solve keeps the capacity of the point masses.
  problem_ = p;
  const double length = p.length_mm;
  const double per_mm = p.mass_kg_m * k_gravity / 1000.0;
  double weight = per_mm * length;
  for (const PointMass& m : p.point_masses) weight += m.mass_kg * k_gravity;
  const double ei = p.stiffness_Nm2 * k_Nmm2_per_Nm2;
  force_N_ = weight + ei / (length * length);
  bend_ = ei / (length * length) / force_N_;
  rest_curvature_ = p.natural_curvature_per_m * length / 1000.0;
  end_ = p.end / length;
  across_ = Vec2(0.0);
  if (p.end_slide_deg) {
    const double angle = *p.end_slide_deg * k_radians;
    across_ = {-std::sin(angle), std::cos(angle)};
    // What the line does not reach is met on the way to the nearest point of the slide.
    constexpr double k_far = 0.9;
    const double off = glm::dot(end_, across_);
    if (glm::length(end_) >= 1.0 && std::abs(off) < k_far) {
      const Vec2 along(across_.y, -across_.x);
      end_ = off * across_ +
             std::copysign(std::sqrt(k_far * k_far - off * off), glm::dot(end_, along)) * along;
    }
  }
  start_angle_ = p.at_start.angle_deg * k_radians;
  end_angle_ = p.at_end.angle_deg * k_radians;

  const std::size_t n = beyond_.size();
  const double link_weight = per_mm * length / force_N_ * link();
  for (std::size_t j = 0; j < n; ++j) {
    beyond_[j] = link_weight * (static_cast<double>(n - j) - 0.5);
  }
  for (const PointMass& m : p.point_masses) {
    const double load = m.mass_kg * k_gravity / force_N_;
    const double at = m.at_mm / length * segments_;
    for (std::size_t j = 0; j < n; ++j) {
      beyond_[j] += load * std::clamp(at - static_cast<double>(j), 0.0, 1.0);
    }
  }
  return true;
}

/// The part of a displacement or force that the end's support takes up.
Vec2 PlanarRodSolver::held(const Vec2& v) const {
  return problem_.end_slide_deg ? glm::dot(v, across_) * across_ : v;
}

/// Gradient and gap at given angles and the present end force; returns the residual.
double PlanarRodSolver::evaluate(const std::vector<double>& angle) {
  const std::size_t n = angle.size();
  const double l = link();
  const double k = bend_ / l;
  Vec2 reached(0.0);
  for (std::size_t j = 0; j < n; ++j) {
    const double a = angle[j];  // read once, so that both come from one call
    const double sine = std::sin(a);
    const double cosine = std::cos(a);
    sine_[j] = sine;
    cosine_[j] = cosine;
  }
  for (std::size_t j = 0; j < n; ++j) {
    reached.x += cosine_[j];
    reached.y += sine_[j];
    gradient_[j] = l * (h_ * sine_[j] - (v_ - beyond_[j]) * cosine_[j]);
  }
  // A constant natural curvature shows at ends without a clamp only: between links it cancels.
  const double set = k * rest_curvature_ * l;
  gradient_[0] += k * (angle[0] - angle[1]);
  gradient_[0] +=
      problem_.at_start.kind == EndKind::clamped ? 2.0 * k * (angle[0] - start_angle_) : set;
  for (std::size_t j = 1; j + 1 < n; ++j) {
    gradient_[j] += k * (2.0 * angle[j] - angle[j - 1] - angle[j + 1]);
  }
  gradient_[n - 1] += k * (angle[n - 1] - angle[n - 2]);
  gradient_[n - 1] +=
      problem_.at_end.kind == EndKind::clamped ? 2.0 * k * (angle[n - 1] - end_angle_) : -set;
  double most = 0.0;
  bool finite = true;
  for (std::size_t j = 0; j < n; ++j) {
    finite = finite && std::isfinite(gradient_[j]);
    most = std::max(most, std::abs(gradient_[j]));
  }
  if (!finite) return std::numeric_limits<double>::infinity();
  gap_ = problem_.at_end.kind == EndKind::free ? Vec2(0.0) : held(end_ - l * reached);
  return std::max(most / l, glm::length(gap_));
}

/// L D L^T of the tridiagonal matrix + shift, and the borders. True when the whole matrix has the
/// inertia of a strict minimum: as many negative eigenvalues as border rows.
bool PlanarRodSolver::factor(double shift) {
  const std::size_t n = angle_.size();
  const double l = link();
  const double k = bend_ / l;
  int negative = 0;
  rest_hh_ = rest_hv_ = rest_vv_ = 0.0;
  double factor = 0.0;
  double zh = 0.0;
  double zv = 0.0;
  for (std::size_t j = 0; j < n; ++j) {
    double diagonal = 2.0 * k + shift + l * (h_ * cosine_[j] + (v_ - beyond_[j]) * sine_[j]);
    if (j == 0) diagonal += problem_.at_start.kind == EndKind::clamped ? k : -k;
    if (j + 1 == n) diagonal += problem_.at_end.kind == EndKind::clamped ? k : -k;
    const double pivot = diagonal + k * factor;
    // A pivot of exactly 0 makes everything beyond infinite, and the inertia wrong: it is shifted.
    negative += pivot < 0.0 ? 1 : 0;
    const double inverse = 1.0 / pivot;
    zh = l * sine_[j] - factor * zh;
    zv = -l * cosine_[j] - factor * zv;
    inverse_pivot_[j] = inverse;
    factor_[j] = factor;
    border_h_[j] = zh;
    border_v_[j] = zv;
    rest_hh_ += zh * zh * inverse;
    rest_hv_ += zh * zv * inverse;
    rest_vv_ += zv * zv * inverse;
    factor = -k * inverse;
  }
  if (problem_.at_end.kind == EndKind::free) return negative == 0;
  if (problem_.end_slide_deg) {
    const double rest = across_.x * across_.x * rest_hh_ + 2.0 * across_.x * across_.y * rest_hv_ +
                        across_.y * across_.y * rest_vv_;
    return negative + (rest > 0.0 ? 1 : 0) == 1;
  }
  const double determinant = rest_hh_ * rest_vv_ - rest_hv_ * rest_hv_;
  if (determinant > 0.0) return negative + (rest_hh_ > 0.0 ? 2 : 0) == 2;
  return determinant < 0.0 && negative + 1 == 2;
}

/// step_ from gradient_ and gap_ with the present factors:
///   K step + border (step_h, step_v) = -gradient,   -border . step = gap.
void PlanarRodSolver::solve_factored() {
  const std::size_t n = angle_.size();
  double z = 0.0;
  double along_h = 0.0;
  double along_v = 0.0;
  for (std::size_t j = 0; j < n; ++j) {
    z = gradient_[j] - factor_[j] * z;
    step_[j] = z;
    along_h += border_h_[j] * z * inverse_pivot_[j];
    along_v += border_v_[j] * z * inverse_pivot_[j];
  }
  step_h_ = step_v_ = 0.0;
  const double rh = gap_.x - along_h;
  const double rv = gap_.y - along_v;
  if (problem_.end_slide_deg) {
    const double rest = across_.x * across_.x * rest_hh_ + 2.0 * across_.x * across_.y * rest_hv_ +
                        across_.y * across_.y * rest_vv_;
    const double step = (across_.x * rh + across_.y * rv) / rest;
    step_h_ = step * across_.x;
    step_v_ = step * across_.y;
  } else if (problem_.at_end.kind != EndKind::free) {
    const double determinant = rest_hh_ * rest_vv_ - rest_hv_ * rest_hv_;
    step_h_ = (rest_vv_ * rh - rest_hv_ * rv) / determinant;
    step_v_ = (rest_hh_ * rv - rest_hv_ * rh) / determinant;
  }
  double next = 0.0;
  double next_factor = 0.0;
  for (std::size_t j = n; j-- > 0;) {
    const double reduced = step_[j] + border_h_[j] * step_h_ + border_v_[j] * step_v_;
    next = -reduced * inverse_pivot_[j] - next_factor * next;
    step_[j] = next;
    next_factor = factor_[j];
  }
}

/// First-order change of the shape when its ends move, with the factors of the last solve.
void PlanarRodSolver::predict(const Vec2& end_before, double start_before,
                              double end_angle_before) {
  const double k = bend_ / link();
  std::fill(gradient_.begin(), gradient_.end(), 0.0);
  if (problem_.at_start.kind == EndKind::clamped) {
    gradient_.front() = -2.0 * k * (start_angle_ - start_before);
  }
  if (problem_.at_end.kind == EndKind::clamped) {
    gradient_.back() = -2.0 * k * (end_angle_ - end_angle_before);
  }
  gap_ = held(end_ - end_before);
  solve_factored();
  double most = 0.0;
  for (const double s : step_) most = std::max(most, std::abs(s));
  constexpr double k_trust =
      0.3;  // rad: beyond it a straight extrapolation does more harm than good
  const double length = most > k_trust ? k_trust / most : 1.0;
  if (!std::isfinite(most)) return;
  for (std::size_t j = 0; j < angle_.size(); ++j) angle_[j] += length * step_[j];
  h_ += length * step_h_;
  v_ += length * step_v_;
}

double PlanarRodSolver::energy(const std::vector<double>& angle) const {
  const std::size_t n = angle.size();
  const double l = link();
  const double k = bend_ / l;
  const double rest = rest_curvature_ * l;
  double sum = 0.0;
  for (std::size_t j = 0; j + 1 < n; ++j) {
    const double turn = angle[j + 1] - angle[j] - rest;
    sum += 0.5 * k * turn * turn;
  }
  if (problem_.at_start.kind == EndKind::clamped) {
    const double turn = angle[0] - start_angle_ - 0.5 * rest;
    sum += k * turn * turn;
  }
  if (problem_.at_end.kind == EndKind::clamped) {
    const double turn = end_angle_ - angle[n - 1] - 0.5 * rest;
    sum += k * turn * turn;
  }
  for (std::size_t j = 0; j < n; ++j) sum += l * beyond_[j] * std::sin(angle[j]);
  return sum;
}

/// Moves along step_, far enough down the merit function energy + merit_weight_ x |gap| (exact
/// penalty; Nocedal and Wright, Numerical Optimization, 2006, ch. 18). False when it cannot.
bool PlanarRodSolver::search_along_step(double before) {
  const double h = h_;
  const double v = v_;
  const Vec2 gap = gap_;
  const double gap_size = std::abs(gap.x) + std::abs(gap.y);
  double slope = h * gap.x + v * gap.y;
  double most = 0.0;
  for (std::size_t j = 0; j < angle_.size(); ++j) {
    slope += gradient_[j] * step_[j];
    most = std::max(most, std::abs(step_[j]));
  }
  if (!std::isfinite(most)) return false;
  merit_weight_ =
      std::max({merit_weight_, 1.5 * std::abs(h + step_h_), 1.5 * std::abs(v + step_v_)});
  if (gap_size > 0.0) merit_weight_ = std::max(merit_weight_, 2.0 * slope / gap_size);
  slope -= merit_weight_ * gap_size;
  const double merit = energy(angle_) + merit_weight_ * gap_size;
  constexpr double k_longest = 1.0;  // rad
  double length = std::min(1.0, k_longest / most);
  for (int i = 0; i < k_halvings; ++i, length *= 0.5) {
    for (std::size_t j = 0; j < angle_.size(); ++j) trial_[j] = angle_[j] + length * step_[j];
    h_ = h + length * step_h_;
    v_ = v + length * step_v_;
    const double residual = evaluate(trial_);
    const double there = energy(trial_) + merit_weight_ * (std::abs(gap_.x) + std::abs(gap_.y));
    // Near the solution energy differences drown in rounding: there the residual decides.
    const bool lower = there <= merit + 1e-4 * length * slope;
    if (lower || residual <= 0.5 * before) {
      angle_.swap(trial_);
      return true;
    }
  }
  h_ = h;
  v_ = v;
  return false;
}

RodReport PlanarRodSolver::iterate(const RodOptions& options) {
  RodReport report;
  merit_weight_ = 0.0;
  const Vec2 force = held({h_, v_});
  h_ = force.x;
  v_ = force.y;
  bool stable = false;
  double residual = evaluate(angle_);
  while (true) {
    report.residual = residual;
    const bool done = residual <= options.residual;
    if (done && stable) {
      report.status = RodStatus::converged;
      return report;
    }
    stable = factor(0.0);
    if (done) {
      report.status = stable ? RodStatus::converged : RodStatus::unstable;
      return report;
    }
    if (report.iterations >= options.most_iterations) break;
    bool downhill = stable;
    for (double shift = 1e-4 * link(); !downhill && shift < 1e6; shift *= 4.0) {
      downhill = factor(shift);
    }
    if (!downhill) break;
    ++report.iterations;
    solve_factored();
    const double before = residual;
    if (stable) {  // the full step, when it is plainly good
      const double h = h_;
      const double v = v_;
      for (std::size_t j = 0; j < angle_.size(); ++j) trial_[j] = angle_[j] + step_[j];
      h_ += step_h_;
      v_ += step_v_;
      residual = evaluate(trial_);
      if (residual <= 0.25 * before) {
        angle_.swap(trial_);
        continue;
      }
      h_ = h;
      v_ = v;
      evaluate(angle_);
    }
    if (!search_along_step(before)) break;
    residual = evaluate(angle_);
  }
  report.status = RodStatus::not_converged;
  return report;
}

RodReport PlanarRodSolver::solve(const PlanarRodProblem& problem, const RodOptions& options) {
  if (!warm_) return solve_cold(problem, options);
  const Vec2 end_before = end_;
  const double start_before = start_angle_;
  const double end_angle_before = end_angle_;
  const double force_before = force_N_;
  const bool same_kinds = problem.at_start.kind == problem_.at_start.kind &&
                          problem.at_end.kind == problem_.at_end.kind &&
                          problem.end_slide_deg.has_value() == problem_.end_slide_deg.has_value();
  warm_ = false;
  if (!same_kinds) return solve_cold(problem, options);
  if (!set_problem(problem)) return {};
  if (problem.at_end.kind != EndKind::free && glm::length(end_) >= 1.0) {
    return {RodStatus::too_short, 0.0, 0};
  }
  h_ *= force_before / force_N_;
  v_ *= force_before / force_N_;
  predict(end_before, start_before, end_angle_before);
  RodReport report = iterate(options);
  warm_ = report.converged();
  if (warm_) return report;
  const int used = report.iterations;
  report = solve_cold(problem, options);
  report.iterations += used;
  return report;
}

}  // namespace bight::rod
