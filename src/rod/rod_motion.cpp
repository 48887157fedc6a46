#include "rod/rod_motion.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

#include "base/check.h"
#include "base/tolerance.h"
#include "rod/rod_motion_detail.h"

namespace bight::rod {

using motion_detail::k_level;
using motion_detail::k_N_per_kg_mm_s2;

namespace {

constexpr double k_Nmm2_per_Nm2 = 1e6;

bool moves_freely(const SpatialRodProblem& p) {
  return p.obstacles.empty() && !p.limits && !p.end_slide && p.space == RodSpace::full;
}

}  // namespace

RodMotion::RodMotion(const SpatialRodProblem& problem, std::span<const Vec3> joints,
                     double tolerance, const std::optional<Carrier>& carrier)
    : problem_(problem),
      tolerance_(tolerance),
      carrier_(carrier),
      position_(joints.begin(), joints.end()),
      matrix_(4 * joints.size()),
      step_(4 * joints.size()) {
  const bool usable = moves_freely(problem) && joints.size() >= 5 && problem.length_mm > 0.0 &&
                      problem.mass_kg_m > 0.0 && problem.stiffness_Nm2 > 0.0;
  BIGHT_CHECK(usable);
  const std::size_t n = joints.size() - 1;
  stiffness_ = problem.stiffness_Nm2 * k_Nmm2_per_Nm2;
  if (carrier) {
    const std::size_t k = carrier->joint;
    const bool clamped = (k == 0 && problem.start_tangent) || (k == n && problem.end_tangent);
    const bool fits =
        k <= n && carrier->mass_kg >= 0.0 && !clamped &&
        (k > 0 ? carrier->at_mm > 0.0 : carrier->at_mm == 0.0) &&
        (k < n ? carrier->at_mm < problem.length_mm : carrier->at_mm == problem.length_mm);
    BIGHT_CHECK(fits);
    if (const Sheave* sheave = way<Sheave>()) {
      for (const PointMass& m : problem.point_masses) BIGHT_CHECK(m.at_mm == problem.length_mm);
      slid_ = sheave->slid_mm;
      border_.resize(4 * joints.size());
    }
  }
  mass_kg_.assign(n + 1, 0.0);
  for (std::size_t j = 0; j < n; ++j) {
    const double half = 0.5 * problem.mass_kg_m * link(j, 0.0) / 1000.0;
    mass_kg_[j] += half;
    mass_kg_[j + 1] += half;
  }
  for (const PointMass& m : problem.point_masses) {
    const bool beyond = carrier && m.at_mm >= carrier->at_mm && carrier->joint < n;
    const double at = beyond ? static_cast<double>(carrier->joint) +
                                   (m.at_mm - carrier->at_mm) / link(carrier->joint, 0.0)
                             : m.at_mm / link(0, 0.0);
    for (std::size_t i = 0; i <= n; ++i) {
      mass_kg_[i] += m.mass_kg * std::max(0.0, 1.0 - std::abs(at - static_cast<double>(i)));
    }
  }
  if (carrier) mass_kg_[carrier->joint] += carrier->mass_kg;
  velocity_.assign(n + 1, Vec3(0.0));
  tension_.assign(n, 0.0);
  force_.resize(n + 1);
  stretch_.resize(n);
}

bool RodMotion::is_fixed(std::size_t joint) const {
  if (is_carrier(joint)) return false;
  return joint == 0 || (joint + 1 == position_.size() && !problem_.end_is_free);
}

double RodMotion::link(std::size_t link, double slid) const {
  const auto links = static_cast<double>(position_.size() - 1);
  if (!carrier_) return problem_.length_mm / links;
  const auto before = static_cast<double>(carrier_->joint);
  return link < carrier_->joint ? (carrier_->at_mm + slid) / before
                                : (problem_.length_mm - carrier_->at_mm - slid) / (links - before);
}

double RodMotion::weight_N_mm() const {
  return problem_.mass_kg_m * k_gravity / 1000.0;
}

/// How much longer it becomes for every mm that slides.
double RodMotion::link_rate(std::size_t link) const {
  const std::size_t before = carrier_->joint;
  const std::size_t after = position_.size() - 1 - before;
  return link < before ? 1.0 / static_cast<double>(before) : -1.0 / static_cast<double>(after);
}

/// Projection onto the ways that a joint can go.
Mat3 RodMotion::free_ways(std::size_t joint) const {
  if (is_fixed(joint)) return Mat3(0.0);
  if (!is_carrier(joint)) return Mat3(1.0);
  if (const Track* track = way<Track>()) return glm::outerProduct(track->along, track->along);
  if (way<Sheave>() != nullptr) return Mat3(0.0);
  return way<Arm>() != nullptr ? k_level : Mat3(1.0);
}

void RodMotion::set_velocities(std::span<const Vec3> mm_s) {
  BIGHT_CHECK(mm_s.size() == velocity_.size());
  velocity_.assign(mm_s.begin(), mm_s.end());
}

double RodMotion::weight_N() const {
  double sum = 0.0;
  for (const double m : mass_kg_) sum += m * k_gravity;
  return sum;
}

double RodMotion::longest_stretch() const {
  double most = 0.0;
  for (std::size_t j = 0; j + 1 < position_.size(); ++j) {
    const double length = glm::distance(position_[j], position_[j + 1]);
    most = std::max(most, std::abs(length / link(j, slid_) - 1.0));
  }
  if (const Arm* arm = way<Arm>()) {
    const double length = glm::length(k_level * (position_[carrier_->joint] - arm->post - held_));
    most = std::max(most, std::abs(length / arm->length_mm - 1.0));
  }
  return most;
}

/// What the arm's pull and the cord add to the derivative. The tip of an arm keeps its height: the
/// place of its third unknown is that of the arm's tension.
void RodMotion::add_carrier() {
  if (const Arm* arm = way<Arm>()) {
    const std::size_t k = carrier_->joint;
    const Vec3 e =
        k_level * (0.5 / arm->length_mm * (next_[k] - next_held_ + position_[k] - held_) -
                   arm->post / arm->length_mm);
    matrix_.add_block(4 * k, 4 * k, 0.5 * arm_tension_N_ / arm->length_mm * k_level);
    matrix_.add(4 * k + 2, 4 * k, e.x);
    matrix_.add(4 * k + 2, 4 * k + 1, e.y);
    matrix_.add(4 * k + 2, 4 * k + 2, -1.0);  // instead of the identity
  }
  if (const Cord* cord = way<Cord>()) {
    const std::size_t k = carrier_->joint;
    const Vec3 now = next_[k] - cord->from - next_held_;
    const double d = glm::length(now);
    const double slope = 0.5 * cord->stiffness_N_m / 1000.0;
    if (!(d > cord->length_mm)) return;
    const Vec3 e = now / d;
    const double taut = 1.0 - cord->length_mm / d;
    matrix_.add_block(4 * k, 4 * k,
                      slope * (taut * Mat3(1.0) + (1.0 - taut) * glm::outerProduct(e, e)));
  }
}

/// Derivative of evaluate()'s equations, made symmetric: where the step's mean stands in one
/// equation and its end in the other, the mean is taken in both. A joint's three unknowns are
/// followed by the tension of the link that ends there; what it cannot do is the identity.
void RodMotion::factor(double seconds) {
  const std::size_t n = tension_.size();
  matrix_.clear();
  const auto add = [&](std::size_t a, std::size_t b, const Mat3& block) {
    if (is_fixed(a) || is_fixed(b)) return;
    const bool projected = is_carrier(a) || is_carrier(b);
    matrix_.add_block(4 * a, 4 * b, projected ? free_ways(a) * block * free_ways(b) : block);
  };
  for (std::size_t i = 0; i <= n; ++i) {
    const double inertia = 2.0 * mass_kg_[i] * k_N_per_kg_mm_s2 / (seconds * seconds);
    const Mat3 free = free_ways(i);
    matrix_.add_block(4 * i, 4 * i, inertia * free + (Mat3(1.0) - free));
  }
  add_carrier();
  matrix_.add(3, 3, 1.0);
  for (std::size_t j = 0; j < n; ++j) {
    const double length = link(j, next_slid_);
    const Vec3 e = 0.5 / length * (next_[j + 1] - next_[j] + position_[j + 1] - position_[j]);
    const Mat3 pull(0.5 * tension_[j] / length);
    add(j + 1, j + 1, pull);
    add(j, j, pull);
    add(j + 1, j, -pull);
    const Vec3 at_end = free_ways(j + 1) * e;
    const Vec3 at_start = free_ways(j) * e;
    for (int axis = 0; axis < 3; ++axis) {
      const auto a = static_cast<std::size_t>(axis);
      matrix_.add(4 * (j + 1) + 3, 4 * (j + 1) + a, at_end[axis]);
      matrix_.add(4 * (j + 1) + 3, 4 * j + a, -at_start[axis]);
    }
  }
  const auto bend = [&](double stiffness, double l, const Vec3& d0, const Vec3& d1) {
    const double square = glm::dot(d1, d1);
    const double s = motion_detail::mean_slope(stiffness, l, glm::dot(d0, d0), square);
    const Vec3 mean = 0.5 * (d0 + d1);
    return s * (Mat3(0.5) + 2.0 / (4.0 * l * l - square) * glm::outerProduct(mean, mean));
  };
  for (std::size_t i = 1; i < n; ++i) {
    if (is_carrier(i)) continue;
    const Mat3 h = bend(stiffness_, link(i, next_slid_),
                        position_[i - 1] - 2.0 * position_[i] + position_[i + 1],
                        next_[i - 1] - 2.0 * next_[i] + next_[i + 1]);
    add(i + 1, i + 1, h);
    add(i + 1, i, -2.0 * h);
    add(i + 1, i - 1, h);
    add(i, i, 4.0 * h);
    add(i, i - 1, -2.0 * h);
    add(i - 1, i - 1, h);
  }
  if (problem_.start_tangent) {
    const double l = link(0, next_slid_);
    const Vec3 clamp = l * *problem_.start_tangent;
    add(1, 1,
        bend(2.0 * stiffness_, l, position_[1] - position_[0] - clamp,
             next_[1] - next_[0] - clamp));
  }
  if (problem_.end_tangent && !problem_.end_is_free) {
    const double l = link(n - 1, next_slid_);
    const Vec3 clamp = l * *problem_.end_tangent;
    add(n - 1, n - 1,
        bend(2.0 * stiffness_, l, position_[n] - position_[n - 1] - clamp,
             next_[n] - next_[n - 1] - clamp));
  }
  matrix_.factor();
  if (way<Sheave>() != nullptr) add_border(seconds);
}

/// How the equations change with what slides, by a difference; taken as symmetric.
void RodMotion::add_border(double seconds) {
  const auto equations = [&](double slid) {
    const double here = next_slid_;
    next_slid_ = slid;
    evaluate(seconds);
    next_slid_ = here;
    std::vector<double> all(border_.size());
    for (std::size_t i = 0; i < position_.size(); ++i) {
      for (int axis = 0; axis < 3; ++axis) {
        all[4 * i + static_cast<std::size_t>(axis)] = is_fixed(i) ? 0.0 : force_[i][axis];
      }
      all[4 * i + 3] = i == 0 ? 0.0 : stretch_[i - 1];
    }
    return std::pair(std::move(all), slide_force_N_);
  };
  const double h = 1e-5 * problem_.length_mm;
  const auto [more, more_force] = equations(next_slid_ + h);
  const auto [here, force] = equations(next_slid_);
  for (std::size_t i = 0; i < border_.size(); ++i) border_[i] = (more[i] - here[i]) / h;
  corner_ = (more_force - force) / h;
  border_solved_ = border_;
  matrix_.solve(border_solved_);
}

/// Where the joints get to without forces.
void RodMotion::coast(double seconds, const Vec3& start, const Vec3& end, const Vec3& carrier) {
  next_ = position_;
  for (std::size_t i = 0; i < next_.size(); ++i) next_[i] += seconds * velocity_[i];
  next_held_ = carrier;
  // What has no mass stays until it is pulled.
  next_slid_ = slid_;
  if (carrier_ && carrier_->mass_kg > 0.0) next_slid_ += seconds * slid_mm_s_;
  if (carrier_) {
    const std::size_t k = carrier_->joint;
    const Mat3 free = free_ways(k);
    next_[k] =
        position_[k] + free * (seconds * velocity_[k]) + (Mat3(1.0) - free) * (next_held_ - held_);
  }
  if (is_fixed(0)) next_.front() = start;
  if (is_fixed(next_.size() - 1)) next_.back() = end;
}

void RodMotion::correct() {
  for (std::size_t i = 0; i < position_.size(); ++i) {
    for (int axis = 0; axis < 3; ++axis) {
      step_[4 * i + static_cast<std::size_t>(axis)] = is_fixed(i) ? 0.0 : -force_[i][axis];
    }
    step_[4 * i + 3] = i == 0 ? 0.0 : -stretch_[i - 1];
  }
  if (way<Arm>() != nullptr) step_[4 * carrier_->joint + 2] = -arm_stretch_;
  matrix_.solve(step_);
  if (way<Sheave>() != nullptr) {
    const auto over = [&](const std::vector<double>& v) {
      return std::inner_product(border_.begin(), border_.end(), v.begin(), 0.0);
    };
    const double on = -(slide_force_N_ + over(step_)) / (corner_ - over(border_solved_));
    next_slid_ += on;
    for (std::size_t i = 0; i < step_.size(); ++i) step_[i] -= on * border_solved_[i];
  }
  for (std::size_t i = 0; i < position_.size(); ++i) {
    const double* d = step_.data() + 4 * i;
    const bool is_tip = is_carrier(i) && way<Arm>() != nullptr;
    if (!is_fixed(i)) next_[i] += Vec3(d[0], d[1], is_tip ? 0.0 : d[2]);
    if (is_tip) arm_tension_N_ += d[2];
    if (i > 0) tension_[i - 1] += d[3];
  }
}

/// Newton's method with old factors, as long as these do.
bool RodMotion::step(double seconds, const Vec3& start, const Vec3& end, const Vec3& carrier) {
  BIGHT_CHECK(seconds > 0.0);
  constexpr int k_iterations = 40;
  constexpr double k_fast = 0.2;          // residual over the one before: the factors still fit
  constexpr double k_good_enough = 1e-7;  // of the weight: a step that only rounding holds up
  const std::vector<double> tension_before = tension_;
  const double arm_tension_before = arm_tension_N_;
  coast(seconds, start, end, carrier);
  const double weight = weight_N();
  double residual = evaluate(seconds);
  const double first = residual;
  for (int i = 0; i < k_iterations && residual > tolerance_ * weight; ++i) {
    const bool fresh = factored_s_ != seconds;
    if (fresh) {
      factor(seconds);
      factored_s_ = seconds;
    }
    correct();
    const double before = residual;
    residual = evaluate(seconds);
    if (residual <= k_fast * before) continue;
    if (fresh && residual <= k_good_enough * weight) break;
    factored_s_ = 0.0;
    if (!fresh && !(residual < before) && !(residual <= k_good_enough * weight)) {  // led astray
      coast(seconds, start, end, carrier);
      tension_ = tension_before;
      arm_tension_N_ = arm_tension_before;
      evaluate(seconds);
      residual = first;
    }
    if (!std::isfinite(residual)) break;
  }
  if (!(residual <= std::max(tolerance_, k_good_enough) * weight)) {
    tension_ = tension_before;
    arm_tension_N_ = arm_tension_before;
    return false;
  }
  for (std::size_t i = 0; i < position_.size(); ++i) {
    velocity_[i] = 2.0 / seconds * (next_[i] - position_[i]) - velocity_[i];
  }
  position_.swap(next_);
  slid_mm_s_ = 2.0 / seconds * (next_slid_ - slid_) - slid_mm_s_;
  slid_ = next_slid_;
  held_ = next_held_;
  return true;
}

}  // namespace bight::rod
