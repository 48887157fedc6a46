// Energy and forces of rod/rod_motion.h.

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/tolerance.h"
#include "rod/energy.h"
#include "rod/rod_motion.h"
#include "rod/rod_motion_detail.h"

namespace bight::rod {

using motion_detail::k_level;
using motion_detail::k_N_per_kg_mm_s2;
using motion_detail::mean_slope;

namespace {

/// How much longer than the cord is its way, from where it hangs to its end; 0: slack.
double cord_stretch(const Cord& cord, const Vec3& way) {
  return std::max(0.0, glm::length(way) - cord.length_mm);
}

/// Bending energy 2 EI q / (l (4 l^2 - q)) at q = square: its difference over that of the lengths.
double slope_by_length(double stiffness, double l0, double l1, double square) {
  const double both = l0 * (4.0 * l0 * l0 - square) * l1 * (4.0 * l1 * l1 - square);
  return -2.0 * stiffness * square * (4.0 * (l0 * l0 + l0 * l1 + l1 * l1) - square) / both;
}

}  // namespace

double RodMotion::energy_Nmm() const {
  const std::size_t n = tension_.size();
  double sum = 0.0;
  for (std::size_t i = 0; i <= n; ++i) {
    const double square = glm::dot(velocity_[i], velocity_[i]);
    sum += mass_kg_[i] * (k_gravity * position_[i].z + 0.5 * k_N_per_kg_mm_s2 * square);
  }
  const auto bend = [&](double stiffness, double l, const Vec3& d) {
    sum += bend_term(stiffness, l, glm::dot(d, d)).energy;
  };
  for (std::size_t i = 1; i < n; ++i) {
    if (is_carrier(i)) continue;
    bend(stiffness_, link(i, slid_), position_[i - 1] - 2.0 * position_[i] + position_[i + 1]);
  }
  if (problem_.start_tangent) {
    const double l = link(0, slid_);
    bend(2.0 * stiffness_, l, position_[1] - position_[0] - l * *problem_.start_tangent);
  }
  if (problem_.end_tangent && !problem_.end_is_free) {
    const double l = link(n - 1, slid_);
    bend(2.0 * stiffness_, l, position_[n] - position_[n - 1] - l * *problem_.end_tangent);
  }
  if (const Cord* cord = way<Cord>()) {
    const double s = cord_stretch(*cord, position_[carrier_->joint] - cord->from - held_);
    sum += 0.5 * cord->stiffness_N_m / 1000.0 * s * s;
  }
  if (const Sheave* sheave = way<Sheave>()) {
    const double top = position_[carrier_->joint].z;
    for (std::size_t j = 0; j < n; ++j) {
      const double height = 0.5 * (position_[j].z + position_[j + 1].z) - top;
      sum += weight_N_mm() * (link(j, slid_) - link(j, 0.0)) * height;
    }
    sum += (sheave->pull_N - 0.5 * sheave->pull_less_N_mm * slid_) * slid_;
    sum += 0.5 * k_N_per_kg_mm_s2 * carrier_->mass_kg * slid_mm_s_ * slid_mm_s_;
  }
  return sum;
}

/// Adds what the line's weight has moved over the sheave to the forces, and what pulls it over.
/// The tensions and the bending are added where they are computed.
void RodMotion::slide(double seconds) {
  const Sheave& sheave = *way<Sheave>();
  const double mean = 0.5 * (slid_ + next_slid_);
  const double late = next_slid_ - slid_ - seconds * slid_mm_s_;
  slide_force_N_ = 2.0 * carrier_->mass_kg * k_N_per_kg_mm_s2 / (seconds * seconds) * late +
                   sheave.pull_N - sheave.pull_less_N_mm * mean;
  const auto height = [&](std::size_t i) { return 0.5 * (position_[i].z + next_[i].z); };
  const double top = height(carrier_->joint);
  for (std::size_t j = 0; j < tension_.size(); ++j) {
    const double half = 0.5 * weight_N_mm() * (link(j, mean) - link(j, 0.0));
    force_[j].z += half;
    force_[j + 1].z += half;
    slide_force_N_ += weight_N_mm() * link_rate(j) * (0.5 * (height(j) + height(j + 1)) - top);
  }
}

/// Adds the arm's pull on its tip; returns how far the tip is from where the arm holds it, mm.
double RodMotion::pull_of_arm() {
  const Arm& arm = *way<Arm>();
  const std::size_t k = carrier_->joint;
  const Vec3 before = k_level * (position_[k] - arm.post - held_);
  const Vec3 now = k_level * (next_[k] - arm.post - next_held_);
  arm_stretch_ = (glm::dot(now, now) - arm.length_mm * arm.length_mm) / (2.0 * arm.length_mm);
  force_[k] += arm_tension_N_ / arm.length_mm * 0.5 * (before + now);
  return std::abs(arm_stretch_);
}

/// The difference of the energy over that of the squared lengths, times the mean way.
void RodMotion::pull_of_cord() {
  const Cord& cord = *way<Cord>();
  const std::size_t k = carrier_->joint;
  const Vec3 before = position_[k] - cord.from - held_;
  const Vec3 now = next_[k] - cord.from - next_held_;
  const double d0 = glm::length(before);
  const double d1 = glm::length(now);
  const double s0 = cord_stretch(cord, before);
  const double s1 = cord_stretch(cord, now);
  double share = 1.0;  // of the change of length in which the cord is taut
  if ((s0 > 0.0) != (s1 > 0.0)) share = (s1 - s0) / (d1 - d0);
  force_[k] += cord.stiffness_N_m / 1000.0 * share * (s0 + s1) / (d0 + d1) * 0.5 * (before + now);
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
  const bool slides = way<Sheave>() != nullptr;
  if (slides) slide(seconds);
  double worst = 0.0;
  for (std::size_t j = 0; j < n; ++j) {
    const Vec3 e = next_[j + 1] - next_[j];
    const Vec3 mean = 0.5 * (e + position_[j + 1] - position_[j]);
    const double now = link(j, next_slid_);
    const double l = link(j, 0.5 * (slid_ + next_slid_));
    if (!(now > 0.0 && l > 0.0)) return std::numeric_limits<double>::infinity();
    stretch_[j] = (glm::dot(e, e) - now * now) / (2.0 * l);
    worst = std::max(worst, std::abs(stretch_[j]) / l * weight_N());
    const Vec3 pull = tension_[j] / l * mean;
    force_[j + 1] += pull;
    force_[j] -= pull;
    if (slides) slide_force_N_ -= tension_[j] * link_rate(j);
  }
  // Of a joint at link j, or of the clamp that it leaves along. Where its length changes too, means
  // of the slopes at either length and either difference: with them the work is the energy's
  // difference, exactly.
  const auto bend = [&](double stiffness, std::size_t j, const Vec3& d0, const Vec3& d1,
                        const Vec3& clamp) {
    const double l0 = link(j, slid_);
    const double l1 = link(j, next_slid_);
    const Vec3 before = d0 - l0 * clamp;
    const Vec3 now = d1 - l1 * clamp;
    const double square0 = glm::dot(before, before);
    const double square1 = glm::dot(now, now);
    const Vec3 mean = 0.5 * (before + now);
    if (!slides) return mean_slope(stiffness, l1, square0, square1) * mean;
    const Vec3 g = 0.5 *
                   (mean_slope(stiffness, l0, square0, square1) +
                    mean_slope(stiffness, l1, square0, square1)) *
                   mean;
    const double by_length = 0.5 * (slope_by_length(stiffness, l0, l1, square0) +
                                    slope_by_length(stiffness, l0, l1, square1));
    slide_force_N_ += link_rate(j) * (by_length - glm::dot(g, clamp));
    return g;
  };
  for (std::size_t i = 1; i < n; ++i) {
    if (is_carrier(i)) continue;
    const Vec3 g = bend(stiffness_, i, position_[i - 1] - 2.0 * position_[i] + position_[i + 1],
                        next_[i - 1] - 2.0 * next_[i] + next_[i + 1], Vec3(0.0));
    force_[i - 1] += g;
    force_[i] -= 2.0 * g;
    force_[i + 1] += g;
  }
  if (problem_.start_tangent) {
    const Vec3 g = bend(2.0 * stiffness_, 0, position_[1] - position_[0], next_[1] - next_[0],
                        *problem_.start_tangent);
    force_[1] += g;
  }
  if (problem_.end_tangent && !problem_.end_is_free) {
    const Vec3 g = bend(2.0 * stiffness_, n - 1, position_[n] - position_[n - 1],
                        next_[n] - next_[n - 1], *problem_.end_tangent);
    force_[n - 1] -= g;
  }
  if (way<Arm>() != nullptr) {
    worst = std::max(worst, pull_of_arm() / way<Arm>()->length_mm * weight_N());
  }
  if (way<Cord>() != nullptr) pull_of_cord();
  if (carrier_) force_[carrier_->joint] = free_ways(carrier_->joint) * force_[carrier_->joint];
  bool finite = std::isfinite(worst);
  if (slides) {
    finite = finite && std::isfinite(slide_force_N_);
    worst = std::max(worst, std::abs(slide_force_N_));
  }
  for (std::size_t i = 0; i <= n; ++i) {
    if (is_fixed(i)) continue;
    finite = finite && is_finite(force_[i]);
    worst = std::max(worst, glm::length(force_[i]));
  }
  return finite ? worst : std::numeric_limits<double>::infinity();
}

}  // namespace bight::rod
