#include "rod/rod_motion.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/check.h"
#include "base/tolerance.h"
#include "rod/energy.h"

namespace bight::rod {
namespace {

constexpr double k_N_per_kg_mm_s2 = 1e-3;
constexpr double k_Nmm2_per_Nm2 = 1e6;

bool moves_freely(const SpatialRodProblem& p) {
  return p.obstacles.empty() && !p.limits && !p.end_slide && p.space == RodSpace::full;
}

/// Bending energy of rod/energy.h at second differences d0 and d1: its difference over that of the
/// squares, times 2; the force is this x the mean of d0 and d1.
double mean_slope(double stiffness, double l, double square0, double square1) {
  const double whole = 4.0 * l * l;
  return 16.0 * stiffness * l / ((whole - square0) * (whole - square1));
}

}  // namespace

RodMotion::RodMotion(const SpatialRodProblem& problem, std::span<const Vec3> joints,
                     double tolerance)
    : problem_(problem),
      tolerance_(tolerance),
      position_(joints.begin(), joints.end()),
      matrix_(4 * (joints.size() - 1)),
      step_(4 * (joints.size() - 1)) {
  const bool usable = moves_freely(problem) && joints.size() >= 5 && problem.length_mm > 0.0 &&
                      problem.mass_kg_m > 0.0 && problem.stiffness_Nm2 > 0.0;
  BIGHT_CHECK(usable);
  const std::size_t n = joints.size() - 1;
  link_ = problem.length_mm / static_cast<double>(n);
  stiffness_ = problem.stiffness_Nm2 * k_Nmm2_per_Nm2;
  mass_kg_.assign(n + 1, problem.mass_kg_m * link_ / 1000.0);
  mass_kg_.front() *= 0.5;
  mass_kg_.back() *= 0.5;
  for (const PointMass& m : problem.point_masses) {
    const double at = m.at_mm / link_;
    for (std::size_t i = 0; i <= n; ++i) {
      mass_kg_[i] += m.mass_kg * std::max(0.0, 1.0 - std::abs(at - static_cast<double>(i)));
    }
  }
  velocity_.assign(n + 1, Vec3(0.0));
  tension_.assign(n, 0.0);
  force_.resize(n + 1);
  stretch_.resize(n);
}

bool RodMotion::is_fixed(std::size_t joint) const {
  return joint == 0 || (joint + 1 == position_.size() && !problem_.end_is_free);
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
    most = std::max(most, std::abs(length / link_ - 1.0));
  }
  return most;
}

double RodMotion::energy_Nmm() const {
  const std::size_t n = tension_.size();
  double sum = 0.0;
  for (std::size_t i = 0; i <= n; ++i) {
    const double square = glm::dot(velocity_[i], velocity_[i]);
    sum += mass_kg_[i] * (k_gravity * position_[i].z + 0.5 * k_N_per_kg_mm_s2 * square);
  }
  const auto bend = [&](double stiffness, const Vec3& d) {
    sum += bend_term(stiffness, link_, glm::dot(d, d)).energy;
  };
  for (std::size_t i = 1; i < n; ++i) {
    bend(stiffness_, position_[i - 1] - 2.0 * position_[i] + position_[i + 1]);
  }
  if (problem_.start_tangent) {
    bend(2.0 * stiffness_, position_[1] - position_[0] - link_ * *problem_.start_tangent);
  }
  if (problem_.end_tangent && !problem_.end_is_free) {
    bend(2.0 * stiffness_, position_[n] - position_[n - 1] - link_ * *problem_.end_tangent);
  }
  return sum;
}

/// Unbalanced forces (N) at next_ over the step, and stretch; returns the largest force, with
/// stretch counted as a share of the weight.
double RodMotion::evaluate(double seconds) {
  const std::size_t n = tension_.size();
  for (std::size_t i = 0; i <= n; ++i) {
    const Vec3 late = next_[i] - position_[i] - seconds * velocity_[i];
    force_[i] = 2.0 * mass_kg_[i] * k_N_per_kg_mm_s2 / (seconds * seconds) * late;
    force_[i].z += mass_kg_[i] * k_gravity;
  }
  double worst = 0.0;
  for (std::size_t j = 0; j < n; ++j) {
    const Vec3 e = next_[j + 1] - next_[j];
    const Vec3 mean = 0.5 * (e + position_[j + 1] - position_[j]);
    stretch_[j] = (glm::dot(e, e) - link_ * link_) / (2.0 * link_);
    worst = std::max(worst, std::abs(stretch_[j]) / link_ * weight_N());
    const Vec3 pull = tension_[j] / link_ * mean;
    force_[j + 1] += pull;
    force_[j] -= pull;
  }
  const auto slope = [&](double stiffness, const Vec3& d0, const Vec3& d1) {
    return 0.5 * mean_slope(stiffness, link_, glm::dot(d0, d0), glm::dot(d1, d1)) * (d0 + d1);
  };
  for (std::size_t i = 1; i < n; ++i) {
    const Vec3 g = slope(stiffness_, position_[i - 1] - 2.0 * position_[i] + position_[i + 1],
                         next_[i - 1] - 2.0 * next_[i] + next_[i + 1]);
    force_[i - 1] += g;
    force_[i] -= 2.0 * g;
    force_[i + 1] += g;
  }
  if (problem_.start_tangent) {
    const Vec3 clamp = link_ * *problem_.start_tangent;
    const Vec3 g =
        slope(2.0 * stiffness_, position_[1] - position_[0] - clamp, next_[1] - next_[0] - clamp);
    force_[1] += g;
  }
  if (problem_.end_tangent && !problem_.end_is_free) {
    const Vec3 clamp = link_ * *problem_.end_tangent;
    const Vec3 g = slope(2.0 * stiffness_, position_[n] - position_[n - 1] - clamp,
                         next_[n] - next_[n - 1] - clamp);
    force_[n - 1] -= g;
  }
  bool finite = std::isfinite(worst);
  for (std::size_t i = 1; i <= n; ++i) {
    if (is_fixed(i)) continue;
    finite = finite && is_finite(force_[i]);
    worst = std::max(worst, glm::length(force_[i]));
  }
  return finite ? worst : std::numeric_limits<double>::infinity();
}

/// Derivative of evaluate()'s equations, made symmetric: where the step's mean stands in one
/// equation and its end in the other, the mean is taken in both.
void RodMotion::factor(double seconds) {
  const std::size_t n = tension_.size();
  matrix_.clear();
  const auto add = [&](std::size_t a, std::size_t b, const Mat3& block) {
    if (!is_fixed(a) && !is_fixed(b)) matrix_.add_block(4 * (a - 1), 4 * (b - 1), block);
  };
  for (std::size_t i = 1; i <= n; ++i) {
    const double inertia = 2.0 * mass_kg_[i] * k_N_per_kg_mm_s2 / (seconds * seconds);
    matrix_.add_block(4 * (i - 1), 4 * (i - 1), Mat3(is_fixed(i) ? 1.0 : inertia));
  }
  for (std::size_t j = 0; j < n; ++j) {
    const Vec3 e = 0.5 / link_ * (next_[j + 1] - next_[j] + position_[j + 1] - position_[j]);
    const Mat3 pull(0.5 * tension_[j] / link_);
    add(j + 1, j + 1, pull);
    add(j, j, pull);
    add(j + 1, j, -pull);
    for (int axis = 0; axis < 3; ++axis) {
      const auto a = static_cast<std::size_t>(axis);
      if (!is_fixed(j + 1)) matrix_.add(4 * j + 3, 4 * j + a, e[axis]);
      if (!is_fixed(j)) matrix_.add(4 * j + 3, 4 * (j - 1) + a, -e[axis]);
    }
  }
  const auto bend = [&](double stiffness, const Vec3& d0, const Vec3& d1) {
    const double square = glm::dot(d1, d1);
    const double s = mean_slope(stiffness, link_, glm::dot(d0, d0), square);
    const Vec3 mean = 0.5 * (d0 + d1);
    return s * (Mat3(0.5) + 2.0 / (4.0 * link_ * link_ - square) * glm::outerProduct(mean, mean));
  };
  for (std::size_t i = 1; i < n; ++i) {
    const Mat3 h = bend(stiffness_, position_[i - 1] - 2.0 * position_[i] + position_[i + 1],
                        next_[i - 1] - 2.0 * next_[i] + next_[i + 1]);
    add(i + 1, i + 1, h);
    add(i + 1, i, -2.0 * h);
    add(i + 1, i - 1, h);
    add(i, i, 4.0 * h);
    add(i, i - 1, -2.0 * h);
    add(i - 1, i - 1, h);
  }
  if (problem_.start_tangent) {
    const Vec3 clamp = link_ * *problem_.start_tangent;
    add(1, 1,
        bend(2.0 * stiffness_, position_[1] - position_[0] - clamp, next_[1] - next_[0] - clamp));
  }
  if (problem_.end_tangent && !problem_.end_is_free) {
    const Vec3 clamp = link_ * *problem_.end_tangent;
    add(n - 1, n - 1,
        bend(2.0 * stiffness_, position_[n] - position_[n - 1] - clamp,
             next_[n] - next_[n - 1] - clamp));
  }
  matrix_.factor();
}

/// Where the joints get to without forces.
void RodMotion::coast(double seconds, const Vec3& start, const Vec3& end) {
  const std::size_t n = tension_.size();
  next_ = position_;
  for (std::size_t i = 1; i <= n; ++i) next_[i] += seconds * velocity_[i];
  next_.front() = start;
  if (!problem_.end_is_free) next_.back() = end;
}

void RodMotion::correct() {
  const std::size_t n = tension_.size();
  for (std::size_t j = 0; j < n; ++j) {
    for (int axis = 0; axis < 3; ++axis) {
      step_[4 * j + static_cast<std::size_t>(axis)] = is_fixed(j + 1) ? 0.0 : -force_[j + 1][axis];
    }
    step_[4 * j + 3] = -stretch_[j];
  }
  matrix_.solve(step_);
  for (std::size_t j = 0; j < n; ++j) {
    const double* d = step_.data() + 4 * j;
    next_[j + 1] += Vec3(d[0], d[1], d[2]);
    tension_[j] += d[3];
  }
}

/// Newton's method with old factors, as long as these do.
bool RodMotion::step(double seconds, const Vec3& start, const Vec3& end) {
  BIGHT_CHECK(seconds > 0.0);
  constexpr int k_iterations = 40;
  constexpr double k_fast = 0.2;          // residual over the one before: the factors still fit
  constexpr double k_good_enough = 1e-7;  // of the weight: a step that only rounding holds up
  const std::vector<double> tension_before = tension_;
  coast(seconds, start, end);
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
      coast(seconds, start, end);
      tension_ = tension_before;
      evaluate(seconds);
      residual = first;
    }
    if (!std::isfinite(residual)) break;
  }
  if (!(residual <= std::max(tolerance_, k_good_enough) * weight)) {
    tension_ = tension_before;
    return false;
  }
  for (std::size_t i = 0; i < position_.size(); ++i) {
    velocity_[i] = 2.0 / seconds * (next_[i] - position_[i]) - velocity_[i];
  }
  position_.swap(next_);
  return true;
}

namespace {

/// How far the move has come after `time`: a trapezoid or triangle of speed.
class Profile {
 public:
  explicit Profile(const RapidMove& move)
      : distance_(move.distance_mm),
        acceleration_(move.acceleration_mm_s2),
        speed_(std::min(move.speed_mm_s, std::sqrt(acceleration_ * distance_))),
        ramp_(speed_ / acceleration_),
        whole_(distance_ / speed_ + ramp_) {}

  double whole_s() const { return whole_; }
  double at(double time) const {
    if (time >= whole_) return distance_;
    if (time <= ramp_) return 0.5 * acceleration_ * time * time;
    const double left = whole_ - time;
    if (left <= ramp_) return distance_ - 0.5 * acceleration_ * left * left;
    return speed_ * (time - 0.5 * ramp_);
  }

 private:
  double distance_;
  double acceleration_;
  double speed_;
  double ramp_;
  double whole_;
};

/// The shape before the move, followed back from the one after it.
RodReport shape_before(const SpatialRodProblem& problem, std::span<const Vec3> rest,
                       const RapidMove& move, SpatialRodSolver& solver) {
  RodReport report = solver.solve_from(rest, problem);
  constexpr int k_ways = 8;
  SpatialRodProblem back = problem;
  for (int i = 1; i <= k_ways && report.converged(); ++i) {
    const double by = move.distance_mm * i / k_ways;
    back.start = problem.start - by * move.start_rate;
    back.end = problem.end - by * move.end_rate;
    report = solver.solve(back);
  }
  return report;
}

Vec3 across_of(const SpatialRodProblem& p) {
  Vec3 along = p.end_is_free ? Vec3(0.0) : p.end - p.start;
  for (const auto& tangent : {p.start_tangent, p.end_tangent}) {
    if (std::hypot(along.x, along.y) > 1e-6 * p.length_mm) break;
    if (tangent) along = *tangent * p.length_mm;
  }
  const double size = std::hypot(along.x, along.y);
  return size > 0.0 ? Vec3(-along.y / size, along.x / size, 0.0) : Vec3(0.0, 1.0, 0.0);
}

/// One step, halved where it does not settle.
bool step_over(RodMotion& motion, const SpatialRodProblem& problem, const RapidMove& move,
               const Profile& profile, double from, double to, int halvings) {
  const double left = move.distance_mm - profile.at(to);
  if (motion.step(to - from, problem.start - left * move.start_rate,
                  problem.end - left * move.end_rate)) {
    return true;
  }
  if (halvings == 0) return false;
  const double middle = 0.5 * (from + to);
  return step_over(motion, problem, move, profile, from, middle, halvings - 1) &&
         step_over(motion, problem, move, profile, middle, to, halvings - 1);
}

}  // namespace

SwingResult swing_after_move(const SpatialRodProblem& problem, std::span<const Vec3> rest,
                             const RapidMove& move, const SwingOptions& options) {
  const bool usable = move.distance_mm > 0.0 && move.speed_mm_s > 0.0 &&
                      move.acceleration_mm_s2 > 0.0 && options.step_s > 0.0 &&
                      options.watched_s > 0.0 && rest.size() >= 5;
  BIGHT_CHECK(usable);
  SwingResult result;
  SpatialRodSolver solver(static_cast<int>(rest.size()) - 1);
  result.report = solver.solve_from(rest, problem);
  if (!result.report.converged()) return result;
  result.rest = solver.points();
  result.report = shape_before(problem, result.rest, move, solver);
  if (!result.report.converged()) return result;

  constexpr double k_tolerance = 1e-7;  // of the weight, in a swing of seconds
  RodMotion motion(problem, solver.points(), k_tolerance);
  const Profile profile(move);
  const auto over = static_cast<int>(std::ceil(profile.whole_s() / options.step_s));
  const auto watched = static_cast<int>(std::ceil(options.watched_s / options.step_s));
  const double step = profile.whole_s() / over;  // so that a step ends with the move
  const Vec3 across = across_of(problem);
  constexpr int k_halvings = 6;
  for (int i = 0; i < over + watched; ++i) {
    if (!step_over(motion, problem, move, profile, step * i, step * (i + 1), k_halvings)) {
      result.report.status = RodStatus::not_converged;
      return result;
    }
    if (i + 1 < over) continue;
    for (std::size_t k = 0; k < result.rest.size(); ++k) {
      const Vec3 off = motion.points()[k] - result.rest[k];
      const double sideways = glm::dot(off, across);
      result.across_mm = std::max(result.across_mm, std::abs(sideways));
      result.in_plane_mm = std::max(result.in_plane_mm, glm::length(off - sideways * across));
    }
    result.frames.push_back(motion.points());
  }
  return result;
}

}  // namespace bight::rod
