// What the planar rod says about a converged shape.

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/check.h"
#include "base/tolerance.h"
#include "rod/planar_rod.h"

namespace bight::rod {
namespace {

/// Extreme of the parabola through three values at -1, 0, 1, with the middle one the greatest:
/// offset and value.
Vec2 parabola_peak(double before, double middle, double after) {
  const double bend = 2.0 * middle - before - after;
  if (!(bend > 0.0)) return {0.0, middle};
  const double offset = std::clamp(0.5 * (after - before) / bend, -0.5, 0.5);
  return {offset, middle + 0.25 * (after - before) * offset};
}

}  // namespace

std::span<const double> PlanarRodSolver::angles_rad() const {
  BIGHT_CHECK(warm_);
  return angle_;
}

std::vector<Vec2> PlanarRodSolver::points() const {
  BIGHT_CHECK(warm_);
  std::vector<Vec2> points{Vec2(0.0)};
  points.reserve(angle_.size() + 1);
  for (const double t : angle_) {
    points.push_back(points.back() + problem_.length_mm * link() * Vec2(std::cos(t), std::sin(t)));
  }
  return points;
}

Vec2 PlanarRodSolver::point_at(double s_mm) const {
  BIGHT_CHECK(warm_);
  double left = std::clamp(s_mm / problem_.length_mm, 0.0, 1.0) * segments_;
  Vec2 at(0.0);
  for (const double t : angle_) {
    const double part = std::clamp(left, 0.0, 1.0);
    at += part * Vec2(std::cos(t), std::sin(t));
    left -= part;
  }
  return problem_.length_mm * link() * at;
}

PlanarRodFigures PlanarRodSolver::figures() const {
  BIGHT_CHECK(warm_);
  PlanarRodFigures f;
  const std::size_t n = angle_.size();
  const double length = problem_.length_mm;
  const double l = link();
  const double moment = bend_ * force_N_ * length;
  f.energy_Nmm = energy(angle_) * force_N_ * length;
  f.horizontal_force_N = h_ * force_N_;
  f.vertical_end_N = v_ * force_N_;
  double weight = problem_.mass_kg_m * k_gravity / 1000.0 * length;
  for (const PointMass& m : problem_.point_masses) weight += m.mass_kg * k_gravity;
  f.vertical_start_N = f.vertical_end_N - weight;

  // Curvature at the joints, and at clamps from the half cell.
  const bool clamped_start = problem_.at_start.kind == EndKind::clamped;
  const bool clamped_end = problem_.at_end.kind == EndKind::clamped;
  const auto curvature = [&](std::size_t joint) {  // joint 0 and n: the ends
    if (joint == 0) return clamped_start ? 2.0 * (angle_[0] - start_angle_) / l : rest_curvature_;
    if (joint == n) return clamped_end ? 2.0 * (end_angle_ - angle_[n - 1]) / l : rest_curvature_;
    return (angle_[joint] - angle_[joint - 1]) / l;
  };
  if (clamped_start) f.moment_start_Nmm = moment * (curvature(0) - rest_curvature_);
  if (clamped_end) f.moment_end_Nmm = moment * (curvature(n) - rest_curvature_);
  std::size_t tightest = 0;
  for (std::size_t j = 1; j <= n; ++j) {
    if (std::abs(curvature(j)) > std::abs(curvature(tightest))) tightest = j;
  }
  Vec2 peak(0.0, std::abs(curvature(tightest)));
  if (tightest > 1 && tightest + 1 < n) {
    peak =
        parabola_peak(std::abs(curvature(tightest - 1)), peak.y, std::abs(curvature(tightest + 1)));
  }
  f.smallest_radius_mm = length / peak.y;
  f.smallest_radius_at_mm = length * l * (static_cast<double>(tightest) + peak.x);

  f.greatest_tension_N = -std::numeric_limits<double>::infinity();
  const auto tension = [&](double angle, double v_N) {
    return f.horizontal_force_N * std::cos(angle) + v_N * std::sin(angle);
  };
  for (std::size_t j = 0; j < n; ++j) {
    const double v_N = f.vertical_end_N - beyond_[j] * force_N_;
    f.greatest_tension_N = std::max(f.greatest_tension_N, tension(angle_[j], v_N));
  }
  const double first = clamped_start ? start_angle_ : 1.5 * angle_[0] - 0.5 * angle_[1];
  const double last = clamped_end ? end_angle_ : 1.5 * angle_[n - 1] - 0.5 * angle_[n - 2];
  f.greatest_tension_N = std::max(
      {f.greatest_tension_N, tension(first, f.vertical_start_N), tension(last, f.vertical_end_N)});

  const std::vector<Vec2> joints = points();
  std::size_t low = 0;
  for (std::size_t j = 1; j <= n; ++j) {
    if (joints[j].y < joints[low].y) low = j;
  }
  f.lowest = joints[low];
  f.lowest_at_mm = length * l * static_cast<double>(low);
  if (low > 0 && low < n) {
    const Vec2 dip = parabola_peak(-joints[low - 1].y, -joints[low].y, -joints[low + 1].y);
    f.lowest.y = -dip.y;
    f.lowest_at_mm += length * l * dip.x;
    f.lowest.x += dip.x * (dip.x > 0.0 ? joints[low + 1].x - joints[low].x
                                       : joints[low].x - joints[low - 1].x);
  }
  return f;
}

}  // namespace bight::rod
