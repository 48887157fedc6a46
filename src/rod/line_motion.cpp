#include "rod/line_motion.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/check.h"
#include "base/tolerance.h"
#include "rod/energy.h"
#include "rod/line_motion_detail.h"
#include "rod/motion_unit.h"

namespace bight::rod {

using motion_detail::mean_slope;
using motion_detail::second_difference;

namespace {

constexpr double k_Nmm2_per_Nm2 = 1e6;

/// Bending energy 2 EI q / (l (4 l^2 - q)) at q = square: its difference over that of the lengths.
double slope_by_length(double stiffness, double l0, double l1, double square) {
  const double both = l0 * (4.0 * l0 * l0 - square) * l1 * (4.0 * l1 * l1 - square);
  return -2.0 * stiffness * square * (4.0 * (l0 * l0 + l0 * l1 + l1 * l1) - square) / both;
}

bool moves_freely(const SpatialRodProblem& p) {
  return p.obstacles.empty() && !p.limits && !p.end_slide && p.space == RodSpace::full;
}

}  // namespace

LineMotion::LineMotion(const SpatialRodProblem& problem, std::span<const Vec3> joints,
                       const Bumper& bumper, const std::optional<LineSlide>& slide)
    : problem_(problem),
      bumper_(bumper),
      slides_(slide.has_value()),
      slides_at_start_(slide && slide->at_start),
      stiffness_(problem.stiffness_Nm2 * k_Nmm2_per_Nm2),
      length_(slide ? slide->length_mm : problem.length_mm),
      next_length_(length_),
      position_(joints.begin(), joints.end()),
      velocity_(joints.size(), Vec3(0.0)),
      next_(position_),
      force_(joints.size()),
      matrix_(4 * joints.size()) {
  const bool usable = moves_freely(problem) && joints.size() >= 5 && problem.length_mm > 0.0 &&
                      length_ > 0.0 && problem.mass_kg_m > 0.0 && problem.stiffness_Nm2 > 0.0;
  BIGHT_CHECK(usable);
  const std::size_t n = joints.size() - 1;
  tension_.assign(n, 0.0);
  tension_before_ = tension_;
  stretch_.resize(n);
  const double l = problem.length_mm / static_cast<double>(n);
  mass_kg_.assign(n + 1, problem.mass_kg_m * l / 1000.0);
  mass_kg_.front() *= 0.5;
  mass_kg_.back() *= 0.5;
  for (const PointMass& m : problem.point_masses) {
    BIGHT_CHECK(!slides_ || m.at_mm == problem.length_mm);
    for (std::size_t i = 0; i <= n; ++i) {
      const double off = std::abs(m.at_mm / l - static_cast<double>(i));
      mass_kg_[i] += m.mass_kg * std::max(0.0, 1.0 - off);
    }
  }
}

bool LineMotion::is_set(std::size_t joint) const {
  return joint == 0 || (joint == links() && !problem_.end_is_free);
}

void LineMotion::set_end(const Vec3& at) {
  if (!problem_.end_is_free) next_.back() = at;
}

void LineMotion::set_velocities(std::span<const Vec3> mm_s) {
  BIGHT_CHECK(mm_s.size() == velocity_.size());
  velocity_.assign(mm_s.begin(), mm_s.end());
}

double LineMotion::weight_N_mm() const {
  return problem_.mass_kg_m * k_gravity / 1000.0;
}

double LineMotion::weight_N() const {
  double sum = 0.0;
  for (const double m : mass_kg_) sum += m * k_gravity;
  return sum;
}

double LineMotion::longest_stretch() const {
  double most = 0.0;
  for (std::size_t j = 0; j < links(); ++j) {
    const double length = glm::distance(position_[j], position_[j + 1]);
    most = std::max(most, std::abs(length / link(length_) - 1.0));
  }
  return most;
}

double LineMotion::height_of_slide(std::span<const Vec3> joints) const {
  return slides_at_start_ ? joints.front().z : joints.back().z;
}

double LineMotion::energy_Nmm() const {
  const std::size_t n = links();
  const double l = link(length_);
  double sum = 0.0;
  for (std::size_t i = 0; i <= n; ++i) {
    const double square = glm::dot(velocity_[i], velocity_[i]);
    sum += mass_kg_[i] * (k_gravity * position_[i].z + 0.5 * k_N_per_kg_mm_s2 * square);
  }
  const auto bend = [&](double stiffness, const Vec3& d) {
    sum += bend_term(stiffness, l, glm::dot(d, d)).energy;
  };
  for (std::size_t i = 1; i < n; ++i) bend(stiffness_, second_difference(position_, i));
  if (problem_.start_tangent) {
    bend(2.0 * stiffness_, position_[1] - position_[0] - l * *problem_.start_tangent);
  }
  if (problem_.end_tangent && !problem_.end_is_free) {
    bend(2.0 * stiffness_, position_[n] - position_[n - 1] - l * *problem_.end_tangent);
  }
  if (slides_) {
    const double top = height_of_slide(position_);
    const double more = weight_N_mm() * (l - link(problem_.length_mm));
    for (std::size_t j = 0; j < n; ++j) {
      sum += more * (0.5 * (position_[j].z + position_[j + 1].z) - top);
    }
  }
  const double in = pressed(position_);
  return sum + 0.5 * bumper_.stiffness_N_m / 1000.0 * in * in;
}

void LineMotion::coast(double seconds) {
  for (std::size_t i = 0; i < next_.size(); ++i) next_[i] = position_[i] + seconds * velocity_[i];
  next_length_ = length_;
  tension_ = tension_before_;
}

/// How far the bumper is pushed in, mm.
double LineMotion::pressed(std::span<const Vec3> joints) const {
  if (bumper_.stiffness_N_m == 0.0) return 0.0;
  return std::max(0.0,
                  bumper_.distance_mm - glm::dot(bumper_.along, joints.back() - joints.front()));
}

bool LineMotion::is_step_too_long(double seconds) const {
  return seconds > bumper_.longest_step_s && (pressed(position_) > 0.0 || pressed(next_) > 0.0);
}

/// On the end, against the start: the difference of the energy over that of the way.
Vec3 LineMotion::push_of_bumper() const {
  const double s0 = pressed(position_);
  const double s1 = pressed(next_);
  double share = 1.0;  // of the way in which they press
  if ((s0 > 0.0) != (s1 > 0.0)) {
    const Vec3 way = next_.back() - next_.front() - (position_.back() - position_.front());
    share = (s0 - s1) / glm::dot(bumper_.along, way);
  }
  return bumper_.stiffness_N_m / 1000.0 * share * 0.5 * (s0 + s1) * bumper_.along;
}

double LineMotion::evaluate(double seconds, double weight_N) {
  const std::size_t n = links();
  for (std::size_t i = 0; i <= n; ++i) {
    const Vec3 late = next_[i] - position_[i] - seconds * velocity_[i];
    force_[i] = 2.0 * mass_kg_[i] * k_N_per_kg_mm_s2 / (seconds * seconds) * late;
    force_[i].z += mass_kg_[i] * k_gravity;
  }
  length_force_N_ = 0.0;
  const double rate = link(1.0);  // of a link, by the length of the line
  const double l0 = link(length_);
  const double l1 = link(next_length_);
  const double l = 0.5 * (l0 + l1);
  if (!(l > 0.0 && l1 > 0.0)) return std::numeric_limits<double>::infinity();
  if (slides_) {
    const double more = 0.5 * weight_N_mm() * (l - link(problem_.length_mm));
    const double top = 0.5 * (height_of_slide(position_) + height_of_slide(next_));
    for (std::size_t j = 0; j < n; ++j) {
      force_[j].z += more;
      force_[j + 1].z += more;
      const double height = position_[j].z + position_[j + 1].z + next_[j].z + next_[j + 1].z;
      length_force_N_ += weight_N_mm() * rate * (0.25 * height - top);
    }
  }
  double worst = 0.0;
  for (std::size_t j = 0; j < n; ++j) {
    const Vec3 e = next_[j + 1] - next_[j];
    const Vec3 mean = 0.5 * (e + position_[j + 1] - position_[j]);
    stretch_[j] = (glm::dot(e, e) - l1 * l1) / (2.0 * l);
    worst = std::max(worst, std::abs(stretch_[j]) / l * weight_N);
    const Vec3 pull = tension_[j] / l * mean;
    force_[j + 1] += pull;
    force_[j] -= pull;
    length_force_N_ -= tension_[j] * rate;
  }
  // Where the length changes too, means of the slopes at either length and either difference: with
  // them the work is the energy's difference, exactly.
  const auto bend = [&](double stiffness, const Vec3& d0, const Vec3& d1, const Vec3& clamp) {
    const Vec3 before = d0 - l0 * clamp;
    const Vec3 now = d1 - l1 * clamp;
    const double square0 = glm::dot(before, before);
    const double square1 = glm::dot(now, now);
    const Vec3 mean = 0.5 * (before + now);
    if (!slides_) return mean_slope(stiffness, l1, square0, square1) * mean;
    const Vec3 g = 0.5 *
                   (mean_slope(stiffness, l0, square0, square1) +
                    mean_slope(stiffness, l1, square0, square1)) *
                   mean;
    const double by_length = 0.5 * (slope_by_length(stiffness, l0, l1, square0) +
                                    slope_by_length(stiffness, l0, l1, square1));
    length_force_N_ += rate * (by_length - glm::dot(g, clamp));
    return g;
  };
  for (std::size_t i = 1; i < n; ++i) {
    const Vec3 g =
        bend(stiffness_, second_difference(position_, i), second_difference(next_, i), Vec3(0.0));
    force_[i - 1] += g;
    force_[i] -= 2.0 * g;
    force_[i + 1] += g;
  }
  if (problem_.start_tangent) {
    const Vec3 g = bend(2.0 * stiffness_, position_[1] - position_[0], next_[1] - next_[0],
                        *problem_.start_tangent);
    force_[1] += g;
    force_[0] -= g;
  }
  if (problem_.end_tangent && !problem_.end_is_free) {
    const Vec3 g = bend(2.0 * stiffness_, position_[n] - position_[n - 1], next_[n] - next_[n - 1],
                        *problem_.end_tangent);
    force_[n - 1] -= g;
    force_[n] += g;
  }
  const Vec3 push = push_of_bumper();
  force_[0] += push;
  force_[n] -= push;
  bool finite = std::isfinite(worst) && std::isfinite(length_force_N_);
  for (std::size_t i = 0; i <= n; ++i) {
    finite = finite && is_finite(force_[i]);
    if (!is_set(i)) worst = std::max(worst, glm::length(force_[i]));
  }
  return finite ? worst : std::numeric_limits<double>::infinity();
}

double LineMotion::force_along(const LineRates& rates) const {
  return glm::dot(rates.start, force_.front()) + glm::dot(rates.end, force_.back()) +
         rates.length * length_force_N_;
}

void LineMotion::finish(double seconds) {
  for (std::size_t i = 0; i < position_.size(); ++i) {
    velocity_[i] = 2.0 / seconds * (next_[i] - position_[i]) - velocity_[i];
  }
  position_ = next_;
  length_ = next_length_;
  tension_before_ = tension_;
}

}  // namespace bight::rod
