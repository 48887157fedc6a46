// Starts of the planar rod: the limp line, smooth curves that fit the ends, and stiffness
// continuation.

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>
#include <vector>

#include "base/check.h"
#include "base/tolerance.h"
#include "rod/catenary.h"
#include "rod/planar_rod.h"

namespace bight::rod {
namespace {

constexpr double k_turn = 2.0 * std::numbers::pi;

/// Smooth starts differ in the first two sine waves that they are bent from, and in whether the
/// clamps' turns are spread over the whole line or kept near the ends (lines that are nearly taut).
struct Seed {
  double first = 0.0;
  double second = 0.0;
  enum class Turns { spread, near_ends } turns = Turns::spread;
};
constexpr std::array<Seed, 12> k_seeds{{{0.0, -1.6, Seed::Turns::spread},
                                        {-1.6, 0.0, Seed::Turns::spread},
                                        {1.6, 0.0, Seed::Turns::spread},
                                        {0.0, 1.6, Seed::Turns::spread},
                                        {-1.2, -1.2, Seed::Turns::spread},
                                        {1.2, -1.2, Seed::Turns::spread},
                                        {-1.2, 1.2, Seed::Turns::spread},
                                        {1.2, 1.2, Seed::Turns::spread},
                                        {0.0, -0.3, Seed::Turns::near_ends},
                                        {0.0, 0.3, Seed::Turns::near_ends},
                                        {-0.3, 0.0, Seed::Turns::near_ends},
                                        {0.3, 0.0, Seed::Turns::near_ends}}};

/// The angle nearest to `to` that differs from `angle` by whole turns.
double nearest_turn(double angle, double to) {
  return angle + k_turn * std::round((to - angle) / k_turn);
}

}  // namespace

/// The catenary through the same ends, on the branch of the clamps. False when there is none, or
/// when the turning between the clamps is another one.
bool PlanarRodSolver::catenary_start() {
  const double mass = problem_.mass_kg_m > 0.0 ? problem_.mass_kg_m : 1.0;
  const CatenaryProblem limp{std::abs(problem_.end.x), problem_.end.y, problem_.length_mm, mass};
  const Catenary c = solve_catenary(limp);
  if (c.status != CatenaryStatus::hangs && c.status != CatenaryStatus::vertical) return false;
  const double per_mm = mass * k_gravity / 1000.0;
  const bool mirrored = problem_.end.x < 0.0;
  const auto n = static_cast<double>(segments_);
  for (std::size_t j = 0; j < angle_.size(); ++j) {
    const double v =
        c.vertical_start_N + per_mm * problem_.length_mm * (static_cast<double>(j) + 0.5) / n;
    const double angle = std::atan2(v, c.horizontal_force_N);
    angle_[j] = mirrored ? std::numbers::pi - angle : angle;
  }
  double shift = 0.0;
  if (problem_.at_start.kind == EndKind::clamped) {
    shift = nearest_turn(angle_.front(), start_angle_) - angle_.front();
  } else if (problem_.at_end.kind == EndKind::clamped) {
    shift = nearest_turn(angle_.back(), end_angle_) - angle_.back();
  }
  for (double& a : angle_) a += shift;
  h_ = (mirrored ? -1.0 : 1.0) * c.horizontal_force_N / force_N_;
  v_ = c.vertical_end_N / force_N_;
  if (problem_.mass_kg_m == 0.0) h_ = v_ = 0.0;
  // Clamps that point far from the limp line want another shape.
  constexpr double k_farthest = 2.2;  // rad
  const bool start_fits = problem_.at_start.kind != EndKind::clamped ||
                          std::abs(angle_.front() - start_angle_) < k_farthest;
  const bool end_fits =
      problem_.at_end.kind != EndKind::clamped || std::abs(angle_.back() - end_angle_) < k_farthest;
  return start_fits && end_fits;
}

/// Straight from the clamp; hanging straight down from a pin.
void PlanarRodSolver::free_end_start() {
  const bool clamped = problem_.at_start.kind == EndKind::clamped;
  std::fill(angle_.begin(), angle_.end(), clamped ? start_angle_ : -0.25 * k_turn);
  h_ = v_ = 0.0;
}

/// Angles base(s) + sum of c_k sin(k pi s), base linear between the clamps (or towards the chord at
/// a pin). The c_k start from a seed and are changed as little as possible so that the ends fit
/// (Gauss-Newton with least-norm steps). False when that does not settle.
bool PlanarRodSolver::curve_start(int seed) {
  constexpr std::size_t k_waves = 8;
  const double chord = std::atan2(end_.y, end_.x);
  double first = chord;
  double last = chord;
  if (problem_.at_start.kind == EndKind::clamped) {
    first = start_angle_;
    last = nearest_turn(chord, start_angle_);
  }
  if (problem_.at_end.kind == EndKind::clamped) {
    last = end_angle_;
    if (problem_.at_start.kind != EndKind::clamped) first = nearest_turn(chord, end_angle_);
  }
  const Seed& from = k_seeds[static_cast<std::size_t>(seed)];
  // Turns near the ends take up no more of the line than there is slack.
  const double middle = nearest_turn(chord, 0.5 * (first + last));
  const double share = std::clamp(0.4 * (1.0 - glm::length(end_)), 1.5 * link(), 0.5);
  const auto base = [&](double s) {
    if (from.turns == Seed::Turns::spread) return first + (last - first) * s;
    const double leave = std::max(0.0, 1.0 - s / share);
    const double arrive = std::max(0.0, 1.0 - (1.0 - s) / share);
    return middle + (first - middle) * leave + (last - middle) * arrive;
  };
  std::vector<std::array<double, k_waves>> waves(angle_.size());
  for (std::size_t j = 0; j < angle_.size(); ++j) {
    const double s = (static_cast<double>(j) + 0.5) * link();
    for (std::size_t k = 0; k < k_waves; ++k) {
      waves[j][k] = std::sin(std::numbers::pi * s * static_cast<double>(k + 1));
    }
  }
  const auto gap_at = [&](const std::array<double, k_waves>& c) {
    Vec2 reached(0.0);
    for (std::size_t j = 0; j < angle_.size(); ++j) {
      angle_[j] = base((static_cast<double>(j) + 0.5) * link());
      for (std::size_t k = 0; k < k_waves; ++k) angle_[j] += c[k] * waves[j][k];
      reached += link() * Vec2(std::cos(angle_[j]), std::sin(angle_[j]));
    }
    return end_ - reached;
  };
  std::array<double, k_waves> c{};
  c[0] = from.first;
  c[1] = from.second;
  h_ = v_ = 0.0;
  Vec2 gap = gap_at(c);
  constexpr int k_steps = 80;
  constexpr double k_fits = 1e-3;  // of the length: Newton's method does the rest
  constexpr double k_usable = 0.05;
  for (int i = 0; i < k_steps && glm::length(gap) > k_fits; ++i) {
    std::array<Vec2, k_waves> by{};
    for (std::size_t j = 0; j < angle_.size(); ++j) {
      const Vec2 normal(-std::sin(angle_[j]), std::cos(angle_[j]));
      for (std::size_t k = 0; k < k_waves; ++k) by[k] += link() * waves[j][k] * normal;
    }
    // J J^T + a little, 2 x 2.
    double xx = 1e-9;
    double xy = 0.0;
    double yy = 1e-9;
    for (const Vec2& b : by) {
      xx += b.x * b.x;
      xy += b.x * b.y;
      yy += b.y * b.y;
    }
    const double determinant = xx * yy - xy * xy;
    const Vec2 y((yy * gap.x - xy * gap.y) / determinant, (xx * gap.y - xy * gap.x) / determinant);
    double size = 0.0;
    for (const Vec2& b : by) size = std::max(size, std::abs(glm::dot(b, y)));
    constexpr double k_longest = 0.6;  // rad
    double length = std::min(1.0, k_longest / size);
    Vec2 next = gap;
    std::array<double, k_waves> moved = c;
    constexpr int k_halvings = 12;
    for (int half = 0; half < k_halvings; ++half, length *= 0.5) {
      for (std::size_t k = 0; k < k_waves; ++k) moved[k] = c[k] + length * glm::dot(by[k], y);
      next = gap_at(moved);
      if (glm::length(next) < glm::length(gap)) break;
    }
    if (!(glm::length(next) < glm::length(gap))) {
      gap = gap_at(c);
      break;
    }
    c = moved;
    gap = next;
  }
  return glm::length(gap) <= k_usable;
}

/// From the present state, first much stiffer, then down to the true stiffness in steps that adapt.
RodReport PlanarRodSolver::from_stiffer(const RodOptions& options) {
  const double bend = bend_;
  constexpr double k_stiffest = 3.0;  // of the force scale: weight hardly matters
  double stiff = std::max(bend, k_stiffest);
  double ratio = 0.3;
  bend_ = stiff;
  RodReport report = iterate(options);
  int used = report.iterations;
  std::vector<double> good = angle_;
  double h = h_;
  double v = v_;
  while (report.converged() && stiff > bend && ratio < 0.98) {
    bend_ = std::max(bend, stiff * ratio);
    report = iterate(options);
    used += report.iterations;
    if (report.converged()) {
      stiff = bend_;
      good = angle_;
      h = h_;
      v = v_;
    } else if (bend_ < stiff) {
      ratio = std::sqrt(ratio);
      angle_ = good;
      h_ = h;
      v_ = v;
      report.status = RodStatus::converged;  // so far: go on with smaller steps
    }
  }
  if (stiff > bend) report.status = RodStatus::not_converged;
  bend_ = bend;
  report.iterations = used;
  return report;
}

/// All starts in turn; the first that converges, or the one of lowest energy.
RodReport PlanarRodSolver::try_starts(const RodOptions& options, bool all) {
  RodReport best;
  best.status = RodStatus::not_converged;
  double best_energy = 0.0;
  std::vector<double> best_angle;
  double best_h = 0.0;
  double best_v = 0.0;
  int used = 0;
  const auto keep = [&](const RodReport& report) {
    used += report.iterations;
    if (!report.converged()) {
      if (!best.converged() && report.status == RodStatus::unstable) best = report;
      return false;
    }
    const double e = energy(angle_);
    if (!best.converged() || e < best_energy) {
      best = report;
      best_energy = e;
      best_h = h_;
      best_v = v_;
      best_angle = angle_;
    }
    return !all;
  };
  bool enough = false;
  if (problem_.at_end.kind == EndKind::free) {
    free_end_start();
    enough = keep(iterate(options));
    // An upright start may be balanced: lean a little to either side.
    for (const double lean : {-0.1, 0.1}) {
      if (enough) break;
      free_end_start();
      for (std::size_t j = 0; j < angle_.size(); ++j) {
        angle_[j] += lean * (static_cast<double>(j) + 0.5) * link();
      }
      enough = keep(iterate(options));
    }
  } else {
    if (catenary_start()) enough = keep(iterate(options));
    // Smooth curves, the one of lowest energy first.
    std::vector<std::pair<double, int>> seeds;
    for (int seed = 0; seed < static_cast<int>(k_seeds.size()) && !enough; ++seed) {
      if (curve_start(seed)) seeds.emplace_back(energy(angle_), seed);
    }
    std::sort(seeds.begin(), seeds.end());
    for (const auto& [start_energy, seed] : seeds) {
      if (enough) break;
      curve_start(seed);
      enough = keep(iterate(options));
    }
    constexpr std::size_t k_stiff_starts = 2;  // when something else converged already
    for (std::size_t k = 0; k < seeds.size(); ++k) {
      if (enough || (best.converged() && k >= k_stiff_starts)) break;
      curve_start(seeds[k].second);
      enough = keep(from_stiffer(options));
    }
  }
  if (best.converged()) {
    angle_.swap(best_angle);
    h_ = best_h;
    v_ = best_v;
    evaluate(angle_);
    factor(0.0);
  }
  best.iterations = used;
  warm_ = best.converged();
  return best;
}

RodReport PlanarRodSolver::solve_cold(const PlanarRodProblem& problem, const RodOptions& options) {
  warm_ = false;
  if (!set_problem(problem)) return {};
  if (problem.at_end.kind != EndKind::free && glm::length(end_) >= 1.0) {
    return {RodStatus::too_short, 0.0, 0};
  }
  return try_starts(options, false);
}

RodReport PlanarRodSolver::solve_lowest(const PlanarRodProblem& problem,
                                        const RodOptions& options) {
  warm_ = false;
  if (!set_problem(problem)) return {};
  if (problem.at_end.kind != EndKind::free && glm::length(end_) >= 1.0) {
    return {RodStatus::too_short, 0.0, 0};
  }
  return try_starts(options, true);
}

RodReport PlanarRodSolver::solve_from(std::span<const double> angles_rad,
                                      const PlanarRodProblem& problem, const RodOptions& options) {
  BIGHT_CHECK(angles_rad.size() == angle_.size());
  warm_ = false;
  if (!set_problem(problem)) return {};
  if (problem.at_end.kind != EndKind::free && glm::length(end_) >= 1.0) {
    return {RodStatus::too_short, 0.0, 0};
  }
  std::copy(angles_rad.begin(), angles_rad.end(), angle_.begin());
  h_ = v_ = 0.0;
  const RodReport report = iterate(options);
  warm_ = report.converged();
  return report;
}

}  // namespace bight::rod
