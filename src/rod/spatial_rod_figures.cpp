// What the spatial rod says about a converged shape.

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/check.h"
#include "base/tolerance.h"
#include "rod/energy.h"
#include "rod/spatial_rod.h"

namespace bight::rod {

std::vector<Vec3> SpatialRodSolver::points() const {
  BIGHT_CHECK(warm_);
  std::vector<Vec3> points;
  points.reserve(position_.size());
  for (const Vec3& p : position_) points.push_back(problem_.start + problem_.length_mm * p);
  return points;
}

Vec3 SpatialRodSolver::point_at(double s_mm) const {
  BIGHT_CHECK(warm_);
  const double at = std::clamp(s_mm / problem_.length_mm, 0.0, 1.0) * segments_;
  const auto before = std::min(static_cast<std::size_t>(at), tension_.size() - 1);
  const double part = at - static_cast<double>(before);
  return problem_.start +
         problem_.length_mm * ((1.0 - part) * position_[before] + part * position_[before + 1]);
}

SidewaysForm SpatialRodSolver::sideways_form() const {
  BIGHT_CHECK(warm_);
  const std::size_t n = tension_.size();
  const double l = link();
  const double scale = force_N_ / problem_.length_mm;
  SidewaysForm form;
  for (const double t : tension_) form.link.push_back(scale * t / l);
  for (std::size_t i = 1; i < n; ++i) {
    const Vec3 d = (position_[i + 1] - position_[i]) - (position_[i] - position_[i - 1]);
    form.joint.push_back(scale * bend_term(bend_, l, glm::dot(d, d)).slope);
  }
  if (problem_.start_tangent) {
    const Vec3 d = position_[1] - position_[0] - l * *problem_.start_tangent;
    form.start_clamp = scale * bend_term(2.0 * bend_, l, glm::dot(d, d)).slope;
  }
  if (problem_.end_tangent && !problem_.end_is_free) {
    const Vec3 d = position_[n] - position_[n - 1] - l * *problem_.end_tangent;
    form.end_clamp = scale * bend_term(2.0 * bend_, l, glm::dot(d, d)).slope;
  }
  for (const double w : weight_) form.mass_kg.push_back(w * force_N_ / k_gravity);
  return form;
}

SpatialRodFigures SpatialRodSolver::figures() const {
  BIGHT_CHECK(warm_);
  SpatialRodFigures f;
  const std::size_t n = tension_.size();
  const double l = link();
  const double length = problem_.length_mm;
  f.energy_Nmm = energy() * force_N_ * length;
  f.start_force_N = force_N_ * force_.front();
  if (!problem_.end_is_free) f.end_force_N = force_N_ * force_.back();
  // The multipliers differ from the tension by EI curvature^2 (the bending energy is written in
  // positions), so the tension is taken from what acts on the line beyond each link.
  Vec3 beyond = problem_.end_is_free ? Vec3(0.0) : force_.back();
  f.greatest_tension_N = -std::numeric_limits<double>::infinity();
  std::vector<Vec3> pressed(n + 1, Vec3(0.0));
  for (const Inequality& q : inequalities_) {
    if (q.side == 0.0) pressed[q.joint] += q.multiplier * q.gradient[1];
  }
  for (std::size_t j = n; j-- > 0;) {
    beyond += pressed[j + 1] - Vec3(0.0, 0.0, weight_[j + 1]);
    const Vec3 e = position_[j + 1] - position_[j];
    f.greatest_tension_N = std::max(f.greatest_tension_N, force_N_ * glm::dot(beyond, e) / l);
  }

  const auto turn = [&](const Vec3& d) {  // 2 tan(phi / 2)
    const double q = glm::dot(d, d);
    return std::sqrt(4.0 * q / (4.0 * l * l - q));
  };
  const auto curvature = [&](std::size_t i) {
    if (i == 0) {
      const auto& t = problem_.start_tangent;
      return t ? 2.0 * turn(position_[1] - position_[0] - l * *t) / l : 0.0;
    }
    if (i == n) {
      const auto& t = problem_.end_tangent;
      const bool clamped = t && !problem_.end_is_free;
      return clamped ? 2.0 * turn(position_[n] - position_[n - 1] - l * *t) / l : 0.0;
    }
    return turn((position_[i + 1] - position_[i]) - (position_[i] - position_[i - 1])) / l;
  };
  const double moment = bend_ * force_N_ * length;
  f.start_moment_Nmm = moment * curvature(0);
  f.end_moment_Nmm = moment * curvature(n);
  double most = 0.0;
  std::size_t low = 0;
  for (std::size_t i = 0; i <= n; ++i) {
    if (curvature(i) > most) {
      most = curvature(i);
      f.smallest_radius_at_mm = length * l * static_cast<double>(i);
    }
    if (position_[i].z < position_[low].z) low = i;
  }
  f.smallest_radius_mm = length / most;
  f.lowest = problem_.start + length * position_[low];
  f.lowest_at_mm = length * l * static_cast<double>(low);

  double weight = 0.0;
  for (const double w : weight_) weight += w;
  for (const Inequality& q : inequalities_) {
    if (q.side != 0.0 || !(q.multiplier > 1e-6 * weight)) continue;
    f.contacts.push_back({q.obstacle, length * l * static_cast<double>(q.joint),
                          problem_.start + length * position_[q.joint],
                          force_N_ * q.multiplier * q.gradient[1]});
  }
  return f;
}

}  // namespace bight::rod
