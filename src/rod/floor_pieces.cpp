#include "rod/floor_pieces.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "base/tolerance.h"

namespace bight::rod {
namespace {

constexpr double k_degrees = 180.0 / std::numbers::pi;

double heading(const Touch& t) {
  return std::cos(t.angle_deg / k_degrees) > 0.0 ? 1.0 : -1.0;
}

/// Angles (rad) at the middles of `count` equal links of a stretch, from those of a whole line's.
std::vector<double> resampled(const std::vector<double>& angles, double from, double to,
                              std::size_t count) {
  std::vector<double> result;
  const double last = static_cast<double>(angles.size() - 1);
  for (std::size_t j = 0; j < count; ++j) {
    const double share = (static_cast<double>(j) + 0.5) / static_cast<double>(count);
    const double s = (from + (to - from) * share) * static_cast<double>(angles.size()) - 0.5;
    const double at = std::clamp(s, 0.0, last);
    const auto i = std::min(static_cast<std::size_t>(at), angles.size() - 2);
    const double part = at - static_cast<double>(i);
    result.push_back((1.0 - part) * angles[i] + part * angles[i + 1]);
  }
  return result;
}

/// Solves a small dense system in place, with row exchanges; false when it is singular.
bool solve_dense(std::vector<std::vector<double>>& a, std::vector<double>& b) {
  const std::size_t n = b.size();
  for (std::size_t c = 0; c < n; ++c) {
    std::size_t pivot = c;
    for (std::size_t r = c + 1; r < n; ++r) {
      if (std::abs(a[r][c]) > std::abs(a[pivot][c])) pivot = r;
    }
    if (!(std::abs(a[pivot][c]) > 0.0)) return false;
    std::swap(a[c], a[pivot]);
    std::swap(b[c], b[pivot]);
    for (std::size_t r = c + 1; r < n; ++r) {
      const double factor = a[r][c] / a[c][c];
      for (std::size_t k = c; k < n; ++k) a[r][k] -= factor * a[c][k];
      b[r] -= factor * b[c];
    }
  }
  for (std::size_t c = n; c-- > 0;) {
    for (std::size_t k = c + 1; k < n; ++k) b[c] -= a[c][k] * b[k];
    b[c] /= a[c][c];
  }
  return true;
}

double size(const std::vector<double>& v) {
  double most = 0.0;
  for (const double x : v) most = std::max(most, std::abs(x));
  return most;
}

}  // namespace

FloorPieces::FloorPieces(const RodOnFloorProblem& problem, std::vector<Touch> touches, int segments)
    : problem_(problem), touches_(std::move(touches)), segments_(segments) {
  const bool ends_down =
      touches_.back().kind != TouchKind::flat && touches_.back().kind != TouchKind::point;
  solvers_.assign(touches_.size() + (ends_down ? 0 : 1), PlanarRodSolver(segments));
  figures_.resize(solvers_.size());
}

bool FloorPieces::solve_from_line(const std::vector<double>& angles) {
  const double length = problem_.rod.length_mm;
  return solve([&](std::size_t i) {
    return resampled(angles, from_mm(i) / length, to_mm(i) / length,
                     static_cast<std::size_t>(segments_));
  });
}

bool FloorPieces::solve_from_pieces(const FloorPieces& coarse) {
  return solve([&](std::size_t i) {
    const auto angles = coarse.solvers_[i].angles_rad();
    return resampled({angles.begin(), angles.end()}, 0.0, 1.0, static_cast<std::size_t>(segments_));
  });
}

double FloorPieces::from_mm(std::size_t piece) const {
  return piece == 0 ? 0.0 : touches_[piece - 1].at_mm + touches_[piece - 1].lying_mm;
}

double FloorPieces::to_mm(std::size_t piece) const {
  return piece < touches_.size() ? touches_[piece].at_mm : problem_.rod.length_mm;
}

Vec2 FloorPieces::from_point(std::size_t piece) const {
  if (piece == 0) return Vec2(0.0);
  const Touch& t = touches_[piece - 1];
  return {t.x_mm + heading(t) * t.lying_mm, problem_.floor_mm};
}

std::vector<Vec2> FloorPieces::points() const {
  std::vector<Vec2> all;
  for (std::size_t i = 0; i < solvers_.size(); ++i) {
    const Vec2 from = from_point(i);
    for (const Vec2& q : solvers_[i].points()) all.push_back(from + q);
  }
  const Touch& last = touches_.back();
  if (last.kind == TouchKind::lying_tail || last.kind == TouchKind::lying_end) {
    all.emplace_back(last.x_mm + heading(last) * last.lying_mm, problem_.floor_mm);
  }
  return all;
}

std::optional<std::pair<std::size_t, TouchKind>> FloorPieces::wrong_touch() const {
  for (std::size_t k = 0; k < touches_.size(); ++k) {
    const Touch& t = touches_[k];
    if (t.kind == TouchKind::flat && t.lying_mm < 0.0) return {{k, TouchKind::point}};
    if (t.kind == TouchKind::lying_tail && t.lying_mm < 0.0) return {{k, TouchKind::tip}};
    const double moment = figures_[k].moment_end_Nmm * heading(t);
    if (t.kind == TouchKind::point && moment < -1e-6 * force() * problem_.rod.length_mm) {
      return {{k, TouchKind::flat}};
    }
    if (t.kind == TouchKind::tip && std::sin(solvers_[k].angles_rad().back()) > 0.0) {
      return {{k, TouchKind::lying_tail}};
    }
  }
  return std::nullopt;
}

bool FloorPieces::admissible() const {
  const double weight = weight_per_mm() * problem_.rod.length_mm;
  for (std::size_t k = 0; k < touches_.size(); ++k) {
    const FloorTouch t = floor_touch(k);
    constexpr double k_pull = 1e-6;  // of the weight: rounding
    if (!(t.to_mm >= t.from_mm)) return false;
    if (!(t.push_from_N >= -k_pull * weight && t.push_to_N >= -k_pull * weight)) return false;
  }
  constexpr double k_below = 1e-5;  // of the length: chords of the discrete line
  for (const Vec2& q : points()) {
    if (!(q.y >= problem_.floor_mm - k_below * problem_.rod.length_mm)) return false;
  }
  return true;
}

FloorTouch FloorPieces::floor_touch(std::size_t k) const {
  const Touch& t = touches_[k];
  FloorTouch f{t.at_mm, t.at_mm + t.lying_mm, t.x_mm, t.x_mm + heading(t) * t.lying_mm};
  f.push_from_N = figures_[k].vertical_end_N;
  if (t.kind == TouchKind::point) f.push_from_N -= figures_[k + 1].vertical_start_N;
  if (t.kind == TouchKind::flat) f.push_to_N = -figures_[k + 1].vertical_start_N;
  return f;
}

PlanarRodFigures FloorPieces::whole() const {
  const double per_mm = weight_per_mm();
  PlanarRodFigures f = figures_.front();
  f.smallest_radius_mm = std::numeric_limits<double>::infinity();
  f.energy_Nmm = 0.0;
  for (std::size_t i = 0; i < figures_.size(); ++i) {
    const PlanarRodFigures& piece = figures_[i];
    f.energy_Nmm += piece.energy_Nmm + per_mm * (to_mm(i) - from_mm(i)) * from_point(i).y;
    f.greatest_tension_N = std::max(f.greatest_tension_N, piece.greatest_tension_N);
    if (piece.smallest_radius_mm < f.smallest_radius_mm) {
      f.smallest_radius_mm = piece.smallest_radius_mm;
      f.smallest_radius_at_mm = from_mm(i) + piece.smallest_radius_at_mm;
    }
  }
  for (const Touch& t : touches_) f.energy_Nmm += per_mm * t.lying_mm * problem_.floor_mm;
  const bool end_hangs = solvers_.size() > touches_.size();
  f.vertical_end_N = end_hangs ? figures_.back().vertical_end_N : 0.0;
  f.moment_end_Nmm = end_hangs ? figures_.back().moment_end_Nmm : 0.0;
  f.lowest = {touches_.front().x_mm, problem_.floor_mm};
  f.lowest_at_mm = touches_.front().at_mm;
  return f;
}

double FloorPieces::weight_per_mm() const {
  return problem_.rod.mass_kg_m * k_gravity / 1000.0;
}

double FloorPieces::force() const {
  const double length = problem_.rod.length_mm;
  return weight_per_mm() * length + 1e6 * problem_.rod.stiffness_Nm2 / (length * length);
}

PlanarRodProblem FloorPieces::piece(std::size_t i) const {
  PlanarRodProblem p = problem_.rod;
  p.length_mm = to_mm(i) - from_mm(i);
  Vec2 to = problem_.rod.end;
  if (i > 0) p.at_start = {EndKind::clamped, touches_[i - 1].angle_deg};
  if (i < touches_.size()) {
    const Touch& t = touches_[i];
    to = {t.x_mm, problem_.floor_mm};
    p.at_end = {t.kind == TouchKind::tip ? EndKind::pinned : EndKind::clamped, t.angle_deg};
  }
  p.end = to - from_point(i);
  return p;
}

double FloorPieces::slack(std::size_t i) const {
  const PlanarRodProblem p = piece(i);
  return p.length_mm - glm::length(p.end);
}

std::vector<FloorPieces::Move> FloorPieces::moves() const {
  const double length = problem_.rod.length_mm;
  const double change = 1e-4 * length;
  const double longest = 0.03 * length;
  std::vector<Move> all;
  for (std::size_t k = 0; k < touches_.size(); ++k) {
    const TouchKind kind = touches_[k].kind;
    double least = slack(k);
    if (k + 1 < solvers_.size()) least = std::min(least, slack(k + 1));
    if (kind != TouchKind::tip) all.push_back({k, Way::slide_from, change, longest});
    if (kind == TouchKind::flat) all.push_back({k, Way::slide_to, change, longest});
    if (kind != TouchKind::lying_end) {
      all.push_back(
          {k, Way::slacken, std::min(change, 1e-3 * least), std::min(longest, 0.6 * least)});
    }
  }
  return all;
}

void FloorPieces::apply(const Move& move, double by_mm, std::vector<Touch>& touches) {
  Touch& t = touches[move.touch];
  const bool lies = t.kind != TouchKind::point && t.kind != TouchKind::tip;
  switch (move.way) {
    case Way::slide_from:
      t.at_mm += by_mm;
      t.x_mm += heading(t) * by_mm;
      if (lies) t.lying_mm -= by_mm;
      break;
    case Way::slide_to:
      t.lying_mm += by_mm;
      break;
    case Way::slacken:
      if (t.kind == TouchKind::tip) {
        t.x_mm -= heading(t) * by_mm;
      } else {
        t.at_mm += by_mm;
      }
      if (t.kind == TouchKind::lying_tail) t.lying_mm -= by_mm;
      break;
  }
}

RodOptions FloorPieces::newton() const {
  // Second differences of angles carry this much rounding.
  const double n = segments_;
  return {.residual = std::max(1e-10, 3e-15 * n * n), .most_iterations = 200};
}

/// The conditions of contact, over the force scale (and the length); false when a piece cannot
/// be solved.
bool FloorPieces::conditions(std::vector<double>& residual) {
  for (std::size_t i = 0; i < solvers_.size(); ++i) {
    const PlanarRodProblem p = piece(i);
    if (!(p.length_mm > 0.0)) return false;
    report_ = solvers_[i].solve(p, newton());
    if (!report_.converged()) return false;
    figures_[i] = solvers_[i].figures();
  }
  residual.clear();
  const double moment = force() * problem_.rod.length_mm;
  for (std::size_t k = 0; k < touches_.size(); ++k) {
    const TouchKind kind = touches_[k].kind;
    const bool goes_on = kind == TouchKind::flat || kind == TouchKind::point;
    const PlanarRodFigures& before = figures_[k];
    const PlanarRodFigures after = goes_on ? figures_[k + 1] : PlanarRodFigures{};
    if (kind == TouchKind::point) {
      residual.push_back((before.moment_end_Nmm - after.moment_start_Nmm) / moment);
    } else if (kind != TouchKind::tip) {
      residual.push_back(before.moment_end_Nmm / moment);
    }
    if (kind == TouchKind::flat) residual.push_back(after.moment_start_Nmm / moment);
    if (kind != TouchKind::lying_end) {
      residual.push_back((before.horizontal_force_N - after.horizontal_force_N) / force());
    }
  }
  return true;
}

/// Newton's method with difference quotients on the few unknowns of the touches.
bool FloorPieces::solve(const std::function<std::vector<double>(std::size_t)>& start_angles) {
  for (std::size_t i = 0; i < solvers_.size(); ++i) {
    const PlanarRodProblem p = piece(i);
    if (!(p.length_mm > 0.0)) return false;
    report_ = solvers_[i].solve_from(start_angles(i), p, newton());
    if (!report_.converged()) return false;
  }
  std::vector<double> residual;
  if (!conditions(residual)) return false;
  constexpr int k_steps = 40;
  constexpr double k_enough = 1e-8;
  for (int step = 0; step < k_steps; ++step) {
    const double before = size(residual);
    if (before <= k_enough) return true;
    const std::vector<Move> ways = moves();
    const std::vector<Touch> here = touches_;
    std::vector<std::vector<double>> slope(ways.size(), std::vector<double>(ways.size()));
    std::vector<double> moved;
    for (std::size_t c = 0; c < ways.size(); ++c) {
      touches_ = here;
      apply(ways[c], ways[c].change_mm, touches_);
      if (!conditions(moved)) return false;
      for (std::size_t r = 0; r < ways.size(); ++r) {
        slope[r][c] = (moved[r] - residual[r]) / ways[c].change_mm;
      }
    }
    std::vector<double> d = residual;
    if (!solve_dense(slope, d)) return false;
    double share = 1.0;
    for (std::size_t c = 0; c < ways.size(); ++c) {
      share = std::min(share, ways[c].longest_mm / std::abs(d[c]));
    }
    bool better = false;
    for (int half = 0; half < 8 && !better; ++half, share *= 0.5) {
      touches_ = here;
      for (std::size_t c = 0; c < ways.size(); ++c) apply(ways[c], -share * d[c], touches_);
      better = conditions(moved) && size(moved) < before;
    }
    if (better) {
      residual = moved;
      continue;
    }
    touches_ = here;
    constexpr double k_rounding = 1e-6;
    if (before <= k_rounding && conditions(residual)) return true;
    break;
  }
  report_.status = RodStatus::not_converged;
  return false;
}

}  // namespace bight::rod
