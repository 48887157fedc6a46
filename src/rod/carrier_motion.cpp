#include "rod/carrier_motion.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"
#include "base/tolerance.h"
#include "rod/motion_unit.h"

namespace bight::rod {
namespace {

/// Projection onto the level plane.
constexpr Mat3 k_level(1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0);

/// How much longer than the cord is its way, from where it hangs to its end; 0: slack.
double stretch_of(const Cord& cord, const Vec3& way) {
  return std::max(0.0, glm::length(way) - cord.length_mm);
}

}  // namespace

CarrierMotion::CarrierMotion(const Carrier& carrier)
    : carrier_(carrier), place_(carrier.at), next_(carrier.at) {
  BIGHT_CHECK(carrier.mass_kg >= 0.0);
  if (const Sheave* sheave = way<Sheave>()) slid_ = next_slid_ = sheave->slid_mm;
}

std::size_t CarrierMotion::unknowns() const {
  const bool one = way<Track>() != nullptr || is_sheave();
  return one ? 1 : 3;
}

std::size_t CarrierMotion::places() const {
  if (is_sheave()) return 0;
  return way<Arm>() != nullptr ? 2 : unknowns();
}

Vec3 CarrierMotion::direction(std::size_t unknown) const {
  if (unknown >= places()) return Vec3(0.0);
  if (const Track* track = way<Track>()) return track->along;
  Vec3 axis(0.0);
  axis[static_cast<int>(unknown)] = 1.0;
  return axis;
}

void CarrierMotion::coast(double seconds, const Vec3& held) {
  next_held_ = held;
  Mat3 free(0.0);
  if (const Track* track = way<Track>()) free = glm::outerProduct(track->along, track->along);
  if (way<Arm>() != nullptr) free = k_level;
  if (way<Cord>() != nullptr) free = Mat3(1.0);
  next_ = place_ + free * (seconds * velocity_) + (Mat3(1.0) - free) * (next_held_ - held_);
  // What has no mass stays until it is pulled.
  next_slid_ = slid_ + (carrier_.mass_kg > 0.0 ? seconds * slid_mm_s_ : 0.0);
  arm_tension_N_ = arm_tension_before_N_;
}

/// The difference of the energy over that of the squared lengths, times the mean way.
Vec3 CarrierMotion::pull_of_cord(const Cord& cord) const {
  const Vec3 before = place_ - cord.from - held_;
  const Vec3 now = next_ - cord.from - next_held_;
  const double d0 = glm::length(before);
  const double d1 = glm::length(now);
  const double s0 = stretch_of(cord, before);
  const double s1 = stretch_of(cord, now);
  double share = 1.0;  // of the change of length in which the cord is taut
  if ((s0 > 0.0) != (s1 > 0.0)) share = (s1 - s0) / (d1 - d0);
  return cord.stiffness_N_m / 1000.0 * share * (s0 + s1) / (d0 + d1) * 0.5 * (before + now);
}

double CarrierMotion::evaluate(double seconds, double weight_N, std::span<double> left) const {
  const double inertia = 2.0 * carrier_.mass_kg * k_N_per_kg_mm_s2 / (seconds * seconds);
  if (const Sheave* sheave = way<Sheave>()) {
    const double late = next_slid_ - slid_ - seconds * slid_mm_s_;
    left[0] +=
        inertia * late + sheave->pull_N - sheave->pull_less_N_mm * 0.5 * (slid_ + next_slid_);
    return std::abs(left[0]);
  }
  Vec3 force = inertia * (next_ - place_ - seconds * velocity_);
  force.z += carrier_.mass_kg * k_gravity;
  double worst = 0.0;
  if (const Cord* cord = way<Cord>()) force += pull_of_cord(*cord);
  if (const Arm* arm = way<Arm>()) {
    const Vec3 before = k_level * (place_ - arm->post - held_);
    const Vec3 now = k_level * (next_ - arm->post - next_held_);
    force += arm_tension_N_ / arm->length_mm * 0.5 * (before + now);
    left[2] = (glm::dot(now, now) - arm->length_mm * arm->length_mm) / (2.0 * arm->length_mm);
    worst = std::abs(left[2]) / arm->length_mm * weight_N;
  }
  double square = 0.0;
  for (std::size_t i = 0; i < places(); ++i) {
    left[i] += glm::dot(direction(i), force);
    square += left[i] * left[i];
  }
  return std::max(worst, std::sqrt(square));
}

void CarrierMotion::add_slopes(double seconds, std::size_t first, BandedSymmetric& matrix) const {
  const double inertia = 2.0 * carrier_.mass_kg * k_N_per_kg_mm_s2 / (seconds * seconds);
  for (std::size_t i = 0; i < places(); ++i) matrix.add(first + i, first + i, inertia);
  if (const Sheave* sheave = way<Sheave>()) {
    matrix.add(first, first, inertia - 0.5 * sheave->pull_less_N_mm);
  }
  if (const Arm* arm = way<Arm>()) {
    const Vec3 e = k_level * (0.5 / arm->length_mm * (next_ - next_held_ + place_ - held_) -
                              arm->post / arm->length_mm);
    for (std::size_t i = 0; i < 2; ++i) {
      matrix.add(first + i, first + i, 0.5 * arm_tension_N_ / arm->length_mm);
      matrix.add(first + 2, first + i, e[static_cast<int>(i)]);
    }
  }
  if (const Cord* cord = way<Cord>()) {
    const Vec3 now = next_ - cord->from - next_held_;
    const double d = glm::length(now);
    if (!(d > cord->length_mm)) return;
    const Vec3 e = now / d;
    const double taut = 1.0 - cord->length_mm / d;
    const double slope = 0.5 * cord->stiffness_N_m / 1000.0;
    matrix.add_block(first, first,
                     slope * (taut * Mat3(1.0) + (1.0 - taut) * glm::outerProduct(e, e)));
  }
}

void CarrierMotion::apply(std::span<const double> change) {
  if (is_sheave()) next_slid_ += change[0];
  for (std::size_t i = 0; i < places(); ++i) next_ += change[i] * direction(i);
  if (way<Arm>() != nullptr) arm_tension_N_ += change[2];
}

void CarrierMotion::finish(double seconds) {
  velocity_ = 2.0 / seconds * (next_ - place_) - velocity_;
  place_ = next_;
  slid_mm_s_ = 2.0 / seconds * (next_slid_ - slid_) - slid_mm_s_;
  slid_ = next_slid_;
  held_ = next_held_;
  arm_tension_before_N_ = arm_tension_N_;
}

double CarrierMotion::energy_Nmm() const {
  if (const Sheave* sheave = way<Sheave>()) {
    return (sheave->pull_N - 0.5 * sheave->pull_less_N_mm * slid_) * slid_ +
           0.5 * k_N_per_kg_mm_s2 * carrier_.mass_kg * slid_mm_s_ * slid_mm_s_;
  }
  const double square = glm::dot(velocity_, velocity_);
  double sum = carrier_.mass_kg * (k_gravity * place_.z + 0.5 * k_N_per_kg_mm_s2 * square);
  if (const Cord* cord = way<Cord>()) {
    const double s = stretch_of(*cord, place_ - cord->from - held_);
    sum += 0.5 * cord->stiffness_N_m / 1000.0 * s * s;
  }
  return sum;
}

double CarrierMotion::weight_N() const {
  return carrier_.mass_kg * k_gravity;
}

double CarrierMotion::stretch() const {
  const Arm* arm = way<Arm>();
  if (arm == nullptr) return 0.0;
  return std::abs(glm::length(k_level * (place_ - arm->post - held_)) / arm->length_mm - 1.0);
}

}  // namespace bight::rod
