// Newton's method of the spatial rod: steps, line search, barrier.

#include <algorithm>
#include <cmath>
#include <limits>

#include "rod/spatial_rod.h"

namespace bight::rod {
namespace {

/// Of a step before a line search gives up.
constexpr int k_halvings = 30;

}  // namespace

/// The joint of an inequality's gradient k; 0 when it is not a free one.
std::size_t SpatialRodSolver::joint_of(const Inequality& q, std::size_t k) const {
  const std::size_t joint = q.joint + k;
  return joint >= 2 && joint <= position_.size() ? joint - 1 : 0;
}

/// The last joint's unknowns count along the slide; everything else is in the plan's axes.
void SpatialRodSolver::to_global(std::vector<double>& step) const {
  if (!problem_.end_slide) return;
  double* d = step.data() + 4 * (tension_.size() - 1);
  const Vec3 by = d[0] * slide_[0];
  for (int axis = 0; axis < 3; ++axis) d[axis] = by[axis];
}

/// step_ with the present factors, then the steps of slacks and multipliers.
void SpatialRodSolver::solve_step() {
  const std::size_t n = tension_.size();
  for (std::size_t j = 0; j < n; ++j) {
    for (int axis = 0; axis < 3; ++axis) {
      step_[4 * j + static_cast<std::size_t>(axis)] =
          is_fixed(j + 1, axis) ? 0.0 : -force_[j + 1][axis];
    }
    step_[4 * j + 3] = -stretch_[j];
  }
  if (problem_.end_slide) step_[4 * (n - 1)] = -glm::dot(force_[n], slide_[0]);
  for (const Inequality& q : inequalities_) {
    const double push =
        barrier_ / q.slack - q.multiplier - q.multiplier / q.slack * (q.value - q.slack);
    for (std::size_t k = 0; k < 3; ++k) {
      const std::size_t joint = joint_of(q, k);
      if (joint == 0) continue;
      for (int axis = 0; axis < 3; ++axis) {
        if (is_fixed(joint, axis)) continue;
        const Vec3 way = joint == n && problem_.end_slide
                             ? Vec3(glm::dot(q.gradient[k], slide_[0]), 0.0, 0.0)
                             : q.gradient[k];
        step_[4 * (joint - 1) + static_cast<std::size_t>(axis)] += push * way[axis];
      }
    }
  }
  matrix_.solve(step_);
  to_global(step_);
  for (Inequality& q : inequalities_) {
    q.slack_step = q.value - q.slack;
    for (std::size_t k = 0; k < 3; ++k) {
      const std::size_t joint = joint_of(q, k);
      if (joint == 0) continue;
      const double* d = step_.data() + 4 * (joint - 1);
      q.slack_step += glm::dot(q.gradient[k], Vec3(d[0], d[1], d[2]));
    }
    q.multiplier_step = barrier_ / q.slack - q.multiplier - q.multiplier / q.slack * q.slack_step;
  }
}

/// Fraction-to-boundary rule: the longest step <= 1 that keeps slacks (multipliers) positive.
double SpatialRodSolver::longest_step(bool dual) const {
  constexpr double k_fraction = 0.995;
  double longest = 1.0;
  for (const Inequality& q : inequalities_) {
    const double value = dual ? q.multiplier : q.slack;
    const double step = dual ? q.multiplier_step : q.slack_step;
    if (step < -k_fraction * value) longest = std::min(longest, -k_fraction * value / step);
  }
  return longest;
}

/// From the saved state along step_.
void SpatialRodSolver::move(double length, double dual_length) {
  const std::size_t n = tension_.size();
  for (std::size_t j = 0; j < n; ++j) {
    const double* d = step_.data() + 4 * j;
    position_[j + 1] = saved_position_[j + 1] + length * Vec3(d[0], d[1], d[2]);
    tension_[j] = saved_tension_[j] + length * d[3];
  }
  for (std::size_t k = 0; k < inequalities_.size(); ++k) {
    Inequality& q = inequalities_[k];
    q.slack = saved_inequality_[k][0] + length * q.slack_step;
    q.multiplier = saved_inequality_[k][1] + dual_length * q.multiplier_step;
  }
}

/// Energy + barrier + penalty_ x broken constraints (values as of the last evaluate()).
double SpatialRodSolver::merit() {
  double sum = energy();
  for (const double s : stretch_) sum += penalty_ * std::abs(s);
  for (const Inequality& q : inequalities_) {
    sum += penalty_ * std::abs(q.value - q.slack) - barrier_ * std::log(q.slack);
  }
  return sum;
}

/// Moves along step_ as far as the merit function or the residual improves. The state was evaluated
/// with residual `before` and saved. Returns the share of the step taken, 0 when none helps.
double SpatialRodSolver::search(double before) {
  const std::size_t n = tension_.size();
  double slope = 0.0;  // of energy and barrier
  double broken = 0.0;
  double most_multiplier = 0.0;
  double most_move = 0.0;
  for (std::size_t j = 0; j < n; ++j) {
    const double* d = step_.data() + 4 * j;
    const Vec3 move_by(d[0], d[1], d[2]);
    slope += glm::dot(force_[j + 1], move_by);  // what is fixed has no step
    slope += tension_[j] * stretch_[j];
    broken += std::abs(stretch_[j]);
    most_multiplier = std::max(most_multiplier, std::abs(tension_[j] + d[3]));
    most_move = std::max(most_move, glm::length(move_by));
  }
  if (!std::isfinite(most_move)) return 0.0;
  for (const Inequality& q : inequalities_) {
    const double gap = q.value - q.slack;
    slope += q.multiplier * (q.slack_step - gap) - barrier_ * q.slack_step / q.slack;
    broken += std::abs(gap);
    most_multiplier = std::max(most_multiplier, std::abs(q.multiplier + q.multiplier_step));
  }
  penalty_ = std::max(0.5 * penalty_, 2.0 * most_multiplier);
  constexpr double k_steepest = 100.0;  // beyond it the penalty drowns the energy
  if (slope > 0.0)
    penalty_ =
        std::max(penalty_, std::min(2.0 * slope / broken, k_steepest * (1.0 + most_multiplier)));
  slope -= penalty_ * broken;
  if (!(slope < 0.0)) return 0.0;  // not downhill: the caller shifts further
  const double here = merit();
  const double dual = longest_step(true);
  constexpr double k_longest_move = 0.1;  // of the line's length
  const double first = std::min(longest_step(false), k_longest_move / most_move);
  double length = first;
  for (int i = 0; i < k_halvings; ++i, length *= 0.5) {
    move(length, dual);
    double residual = evaluate();
    if (std::isfinite(residual)) {
      correct_stretch();
      residual = evaluate();
    }
    const bool lower = merit() <= here + 1e-4 * length * slope;
    if (std::isfinite(residual) && (lower || residual <= 0.5 * before)) return length;
  }
  move(0.0, 0.0);
  evaluate();
  return 0.0;
}

/// Second-order correction (Nocedal and Wright, ch. 18.3): moving joints along straight lines
/// stretches links by the square of their turn; the same factors take that back, without changing
/// the rest.
void SpatialRodSolver::correct_stretch() {
  const std::size_t n = tension_.size();
  for (std::size_t j = 0; j < n; ++j) {
    for (std::size_t a = 0; a < 3; ++a) correction_[4 * j + a] = 0.0;
    correction_[4 * j + 3] = -stretch_[j];
  }
  matrix_.solve(correction_);
  to_global(correction_);
  for (std::size_t j = 0; j < n; ++j) {
    const double* d = correction_.data() + 4 * j;
    position_[j + 1] += Vec3(d[0], d[1], d[2]);
  }
  constexpr double k_least = 0.01;  // of a slack is kept
  for (Inequality& q : inequalities_) {
    double change = 0.0;
    for (std::size_t k = 0; k < 3; ++k) {
      const std::size_t joint = joint_of(q, k);
      if (joint == 0) continue;
      const double* d = correction_.data() + 4 * (joint - 1);
      change += glm::dot(q.gradient[k], Vec3(d[0], d[1], d[2]));
    }
    q.slack = std::max(q.slack + change, k_least * q.slack);
  }
}

RodReport SpatialRodSolver::iterate(const RodOptions& options) {
  RodReport report;
  penalty_ = 0.0;
  // Second differences of positions carry this much rounding in units of force.
  const double rounding = 8.0 * std::numeric_limits<double>::epsilon() * bend_ *
                          std::pow(static_cast<double>(segments_), 3);
  const double wanted = std::max(options.residual, rounding);
  const double last_barrier = inequalities_.empty() ? 0.0 : 1e-3 * options.residual / segments_;
  // Of a unit displacement of one joint; the first one tried follows what was needed before.
  const double least_shift = 1e-4 * link();
  constexpr double k_most_shift = 1e6;
  double first_shift = least_shift;
  bool cautious = false;  // the last search failed: shift in any case
  bool stable = false;
  double residual = evaluate();
  while (true) {
    report.residual = residual;
    const bool done = residual <= wanted && barrier_ <= last_barrier;
    if (done && stable) {
      report.status = RodStatus::converged;
      return report;
    }
    // The barrier problem is solved well enough: aim closer (superlinearly in the end).
    while (barrier_ > last_barrier &&
           residual <= std::max(10.0 * barrier_ * segments_, 0.5 * wanted)) {
      const double share = barrier_ * segments_;
      barrier_ = std::max(last_barrier, std::min(0.2 * share, std::pow(share, 1.5)) / segments_);
      residual = evaluate();
    }
    stable = factor(0.0);
    if (done) {
      report.status = stable ? RodStatus::converged : RodStatus::unstable;
      return report;
    }
    if (report.iterations >= options.most_iterations) break;
    bool downhill = stable && !cautious;
    for (double shift = first_shift; !downhill && shift < 1e12; shift *= 3.0) {
      downhill = factor(shift);
      first_shift = std::max(least_shift, shift / 9.0);
    }
    if (!downhill) break;
    ++report.iterations;
    solve_step();
    saved_position_ = position_;
    saved_tension_ = tension_;
    for (std::size_t k = 0; k < inequalities_.size(); ++k) {
      saved_inequality_[k] = {inequalities_[k].slack, inequalities_[k].multiplier};
    }
    const double before = residual;
    if (stable && !cautious) {  // the full step, when it is plainly good
      move(longest_step(false), longest_step(true));
      residual = evaluate();
      if (residual <= 0.25 * before) continue;
      move(0.0, 0.0);
      evaluate();
    }
    const double share = search(before);
    // Short steps: the model was trusted too far.
    cautious = share == 0.0;
    if (cautious && first_shift > k_most_shift) break;
    if (share < 0.2) first_shift *= cautious ? 100.0 : 9.0;
    residual = evaluate();
  }
  report.status = RodStatus::not_converged;
  return report;
}

}  // namespace bight::rod
