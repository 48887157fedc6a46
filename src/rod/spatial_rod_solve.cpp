// Where the spatial rod starts from, warm and cold, and how it is brought into contact.

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/check.h"
#include "base/tolerance.h"
#include "rod/spatial_rod.h"

namespace bight::rod {
namespace {

constexpr double k_degrees = 180.0 / std::numbers::pi;

}  // namespace

/// Where the end is put before it slides: at `end`, or, where the line does not reach that far, on
/// the way from there to the nearest point of the slide. Scaled.
Vec3 SpatialRodSolver::reachable_end() const {
  const Vec3 end = (problem_.end - problem_.start) / problem_.length_mm;
  if (!problem_.end_slide || glm::length(end) < 1.0) return end;
  constexpr double k_far = 0.9;
  const Vec3 foot = end - glm::dot(end, slide_[0]) * slide_[0];
  const double square = k_far * k_far - glm::dot(foot, foot);
  const double along = square > 0.0 ? std::sqrt(square) : 0.0;
  return foot + std::copysign(along, glm::dot(end, slide_[0])) * slide_[0];
}

/// First-order change of the shape when its ends move: the change of the residual is taken by a
/// small difference, so every dependence on ends and tangents is in it.
void SpatialRodSolver::predict(const Vec3& end_before, const Vec3& end,
                               const std::optional<Vec3>& start_before,
                               const std::optional<Vec3>& end_tangent_before) {
  constexpr double k_share = 1e-5;
  const auto start_tangent = problem_.start_tangent;
  const auto end_tangent = problem_.end_tangent;
  const auto between = [&](const std::optional<Vec3>& before, std::optional<Vec3>& now) {
    if (before && now) *now = *before + k_share * (*now - *before);
  };
  between(start_before, problem_.start_tangent);
  between(end_tangent_before, problem_.end_tangent);
  if (!problem_.end_is_free) position_.back() = end_before + k_share * (end - end_before);
  evaluate();
  solve_step();
  problem_.start_tangent = start_tangent;
  problem_.end_tangent = end_tangent;
  if (!problem_.end_is_free) position_.back() = end;
  double most = 0.0;
  for (std::size_t j = 0; j < tension_.size(); ++j) {
    const double* d = step_.data() + 4 * j;
    most = std::max({most, std::abs(d[0]), std::abs(d[1]), std::abs(d[2])});
  }
  if (!std::isfinite(most)) return;
  constexpr double k_trust = 0.2;  // of the line's length
  const double length = std::min(1.0, k_trust * k_share / std::max(most, 1e-300)) / k_share;
  for (std::size_t j = 0; j < tension_.size(); ++j) {
    const double* d = step_.data() + 4 * j;
    if (j + 1 < tension_.size() || problem_.end_is_free || problem_.end_slide) {
      position_[j + 1] += length * Vec3(d[0], d[1], d[2]);
    }
    tension_[j] += length * d[3];
  }
}

/// The shape in the vertical plane through the ends; clamps take part with their direction in it.
bool SpatialRodSolver::start_in_plane(const RodOptions& options) {
  const Vec3 d = problem_.length_mm * reachable_end();
  Vec3 along(d.x, d.y, 0.0);
  if (problem_.end_is_free) along = Vec3(0.0);
  for (const auto& tangent : {problem_.start_tangent, problem_.end_tangent}) {
    const bool none = glm::length(along) <= 1e-9 * problem_.length_mm;
    if (none && tangent) along = Vec3(tangent->x, tangent->y, 0.0);
  }
  along = glm::length(along) > 0.0 ? glm::normalize(along) : Vec3(1.0, 0.0, 0.0);
  if (problem_.space == RodSpace::xz_plane) along = Vec3(1.0, 0.0, 0.0);

  PlanarRodProblem p;
  p.length_mm = problem_.length_mm;
  p.mass_kg_m = problem_.mass_kg_m;
  p.stiffness_Nm2 = problem_.stiffness_Nm2;
  p.end = {glm::dot(d, along), d.z};
  p.point_masses = problem_.point_masses;
  const auto clamp = [&](const std::optional<Vec3>& tangent) {
    if (!tangent) return PlanarEnd{};
    const double run = glm::dot(*tangent, along);
    const bool in_plane = std::hypot(run, tangent->z) > 0.5;
    return in_plane ? PlanarEnd{EndKind::clamped, std::atan2(tangent->z, run) * k_degrees}
                    : PlanarEnd{};
  };
  p.at_start = clamp(problem_.start_tangent);
  p.at_end = clamp(problem_.end_tangent);
  if (problem_.end_is_free) p.at_end.kind = EndKind::free;
  if (problem_.end_slide) {
    const double run = glm::dot(*problem_.end_slide, along);
    const double rise = problem_.end_slide->z;
    if (std::hypot(run, rise) > 0.999) p.end_slide_deg = std::atan2(rise, run) * k_degrees;
  }

  bool found = false;
  double lowest = 0.0;
  const bool both = p.at_start.kind == EndKind::clamped && p.at_end.kind == EndKind::clamped;
  const double angle = p.at_end.angle_deg;
  for (const double turns : {0.0, -360.0, 360.0}) {  // a clamp's direction does not tell its turn
    p.at_end.angle_deg = angle + turns;
    if (turns != 0.0 && !both) break;
    if (both && std::abs(p.at_end.angle_deg - p.at_start.angle_deg) > 181.0) continue;
    if (!planar_.solve_cold(p, options).converged()) continue;
    const double energy = planar_.figures().energy_Nmm;
    if (found && energy >= lowest) continue;
    found = true;
    lowest = energy;
    const PlanarRodFigures f = planar_.figures();
    const double per_mm = problem_.mass_kg_m * k_gravity / 1000.0;
    Vec3 at(0.0);
    for (std::size_t j = 0; j < tension_.size(); ++j) {
      const double t = planar_.angles_rad()[j];
      at += link() * (std::cos(t) * along + Vec3(0.0, 0.0, std::sin(t)));
      position_[j + 1] = at;
      const double v = f.vertical_start_N +
                       per_mm * problem_.length_mm * link() * (static_cast<double>(j) + 0.5);
      tension_[j] = (f.horizontal_force_N * std::cos(t) + v * std::sin(t)) / force_N_;
    }
  }
  position_.front() = Vec3(0.0);
  if (!problem_.end_is_free && !p.end_slide_deg) position_.back() = reachable_end();
  return found;
}

/// Pushes the shape out of its plane, by a share of the line's length in the middle; false when it
/// may not leave it.
bool SpatialRodSolver::kick(double push) {
  if (problem_.space == RodSpace::xz_plane) return false;
  Vec3 chord = position_.back();
  Vec3 side = glm::cross(chord, Vec3(0.0, 0.0, 1.0));
  if (!(glm::length(side) > 1e-6)) side = Vec3(0.0, 1.0, 0.0);
  side = glm::normalize(side);
  const std::size_t last = position_.size() - (problem_.end_is_free ? 0 : 1);
  for (std::size_t i = 1; i < last; ++i) {
    const double s = static_cast<double>(i) * link();
    position_[i] += push * std::sin(std::numbers::pi * s) * side;
  }
  return true;
}

RodReport SpatialRodSolver::solve_cold(const SpatialRodProblem& problem,
                                       const RodOptions& options) {
  warm_ = false;
  if (!set_problem(problem)) return {};
  if (!problem.end_is_free && !(glm::length(reachable_end()) < 1.0)) {
    return {RodStatus::too_short, 0.0, 0};
  }
  set_inequalities();
  RodReport report;
  report.status = RodStatus::not_converged;
  if (!start_in_plane(options)) return report;
  report = settle(options);
  // An unstable shape is left by a small push; what did not settle is started again from beside.
  for (const double push : {0.02, -0.1, 0.25}) {
    if (report.converged()) break;
    if (report.status != RodStatus::unstable && !start_in_plane(options)) break;
    if (!kick(push)) break;
    const int used = report.iterations;
    report = settle(options);
    report.iterations += used;
  }
  warm_ = report.converged();
  return report;
}

/// From the present shape. Where it runs deep through obstacles, these are first withdrawn until it
/// hardly touches them and then brought back in steps that adapt.
RodReport SpatialRodSolver::settle(const RodOptions& options) {
  const double barrier = 1e-2 * link();
  offset_ = 0.0;
  start_inequalities(barrier);
  double deepest = 0.0;
  for (const Inequality& q : inequalities_) {
    if (q.side == 0.0) deepest = std::max(deepest, -q.value);
  }
  RodReport report;
  if (!(deepest > 0.1 * link())) return iterate(options);
  constexpr int k_patience = 30;  // Newton steps of an attempt before it is cut down
  RodOptions attempt = options;
  attempt.most_iterations = std::min(options.most_iterations, k_patience);
  double reached = deepest;  // withdrawn this far, the shape is known
  double advance = deepest;
  offset_ = reached;
  start_inequalities(barrier);
  report = iterate(options);
  std::vector<Vec3> good = position_;
  std::vector<double> good_tension = tension_;
  while (report.converged() && reached > 0.0) {
    offset_ = std::max(0.0, reached - advance);
    start_inequalities(0.1 * barrier);
    const int used = report.iterations;
    report = iterate(attempt);
    report.iterations += used;
    if (report.converged()) {
      reached = offset_;
      advance *= 2.0;
      good = position_;
      good_tension = tension_;
      continue;
    }
    position_ = good;
    tension_ = good_tension;
    advance = 0.25 * std::min(advance, reached);
    constexpr double k_least_advance = 1e-6;  // of the line's length
    if (advance < k_least_advance || report.iterations > 10 * options.most_iterations) break;
    report.status = RodStatus::converged;  // so far: go on with shorter steps
  }
  offset_ = 0.0;
  if (reached > 0.0 && report.converged()) report.status = RodStatus::not_converged;
  return report;
}

RodReport SpatialRodSolver::solve_from(std::span<const Vec3> points,
                                       const SpatialRodProblem& problem,
                                       const RodOptions& options) {
  BIGHT_CHECK(points.size() == position_.size());
  warm_ = false;
  if (!set_problem(problem)) return {};
  if (!problem.end_is_free && !(glm::length(reachable_end()) < 1.0)) {
    return {RodStatus::too_short, 0.0, 0};
  }
  // What the points miss the ends by is spread over the line.
  const Vec3 miss_start = problem.start - points.front();
  Vec3 end = problem.end;
  if (problem.end_slide) end += glm::dot(points.back() - end, slide_[0]) * slide_[0];
  const Vec3 miss_end = problem.end_is_free ? miss_start : end - points.back();
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double s = static_cast<double>(i) * link();
    const Vec3 point = points[i] + (1.0 - s) * miss_start + s * miss_end;
    position_[i] = (point - problem.start) / problem.length_mm;
  }
  position_.front() = Vec3(0.0);
  if (!problem.end_is_free) position_.back() = (end - problem.start) / problem.length_mm;
  std::fill(tension_.begin(), tension_.end(), 0.0);
  set_inequalities();
  const RodReport report = settle(options);
  warm_ = report.converged();
  return report;
}

RodReport SpatialRodSolver::solve(const SpatialRodProblem& problem, const RodOptions& options) {
  const bool same = warm_ && problem.end_is_free == problem_.end_is_free &&
                    problem.obstacles.size() == problem_.obstacles.size() &&
                    problem.limits.has_value() == problem_.limits.has_value() &&
                    problem.start_tangent.has_value() == problem_.start_tangent.has_value() &&
                    problem.end_tangent.has_value() == problem_.end_tangent.has_value() &&
                    problem.end_slide.has_value() == problem_.end_slide.has_value();
  if (!same) return solve_cold(problem, options);
  const Vec3 end_before = position_.back();
  const auto start_tangent = problem_.start_tangent;
  const auto end_tangent = problem_.end_tangent;
  const double force_before = force_N_;
  warm_ = false;
  if (!set_problem(problem)) return {};
  if (!problem.end_is_free && !(glm::length(reachable_end()) < 1.0)) {
    return {RodStatus::too_short, 0.0, 0};
  }
  for (double& t : tension_) t *= force_before / force_N_;
  Vec3 end = reachable_end();
  if (problem.end_slide) end += glm::dot(end_before - end, slide_[0]) * slide_[0];
  predict(end_before, end, start_tangent, end_tangent);
  if (!inequalities_.empty()) {
    set_inequalities();
    start_inequalities(1e-4 * link());
  }
  constexpr int k_patience = 40;  // then a cold start with its fallbacks is the better way
  RodOptions attempt = options;
  attempt.most_iterations = std::min(options.most_iterations, k_patience);
  RodReport report = iterate(attempt);
  warm_ = report.converged();
  if (warm_) return report;
  const int used = report.iterations;
  report = solve_cold(problem, options);
  report.iterations += used;
  return report;
}

}  // namespace bight::rod
