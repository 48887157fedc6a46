#include "rod/rod_on_floor.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>
#include <utility>

#include "base/tolerance.h"
#include "rod/floor_touch_start.h"

namespace bight::rod {
namespace {

constexpr double k_degrees = 180.0 / std::numbers::pi;

enum class TouchKind {
  flat,        ///< lies between two free pieces
  point,       ///< touches between two free pieces
  lying_tail,  ///< lies up to its free end
  lying_end,   ///< lies up to where it is held
  tip          ///< only its free end touches
};

struct Touch {
  TouchKind kind = TouchKind::flat;
  double at_mm = 0.0;
  double lying_mm = 0.0;
  double x_mm = 0.0;
  double angle_deg = 0.0;  ///< of the tangent: a multiple of 180
};

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

/// The free pieces between the touches at one number of links, and the conditions of contact.
class Pieces {
 public:
  Pieces(const RodOnFloorProblem& problem, std::vector<Touch> touches, int segments)
      : problem_(problem), touches_(std::move(touches)), segments_(segments) {
    const bool ends_down =
        touches_.back().kind != TouchKind::flat && touches_.back().kind != TouchKind::point;
    solvers_.assign(touches_.size() + (ends_down ? 0 : 1), PlanarRodSolver(segments));
    figures_.resize(solvers_.size());
  }

  const std::vector<Touch>& touches() const { return touches_; }
  const std::vector<PlanarRodFigures>& figures() const { return figures_; }
  const RodReport& report() const { return report_; }

  /// From angles of the whole line.
  bool solve_from_line(const std::vector<double>& angles) {
    const double length = problem_.rod.length_mm;
    return solve([&](std::size_t i) {
      return resampled(angles, from_mm(i) / length, to_mm(i) / length,
                       static_cast<std::size_t>(segments_));
    });
  }

  bool solve_from_pieces(const Pieces& coarse) {
    return solve([&](std::size_t i) {
      const auto angles = coarse.solvers_[i].angles_rad();
      return resampled({angles.begin(), angles.end()}, 0.0, 1.0,
                       static_cast<std::size_t>(segments_));
    });
  }

  double from_mm(std::size_t piece) const {
    return piece == 0 ? 0.0 : touches_[piece - 1].at_mm + touches_[piece - 1].lying_mm;
  }
  double to_mm(std::size_t piece) const {
    return piece < touches_.size() ? touches_[piece].at_mm : problem_.rod.length_mm;
  }
  Vec2 from_point(std::size_t piece) const {
    if (piece == 0) return Vec2(0.0);
    const Touch& t = touches_[piece - 1];
    return {t.x_mm + heading(t) * t.lying_mm, problem_.floor_mm};
  }

  /// The joints of all pieces; the last point is the line's end.
  std::vector<Vec2> points() const {
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

  /// Which touch is of another kind than was taken, and what it is; none: all hold. A line that
  /// would go through the floor beside a point lies there; what would lie a negative length
  /// touches in a point.
  std::optional<std::pair<std::size_t, TouchKind>> wrong_touch() const {
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

  /// The floor only pushes, and nothing is below it.
  bool admissible() const {
    const double weight = problem_.rod.mass_kg_m * k_gravity / 1000.0 * problem_.rod.length_mm;
    for (std::size_t k = 0; k < touches_.size(); ++k) {
      const FloorTouch t = floor_touch(k);
      constexpr double k_pull = 1e-6;  // of the weight: rounding
      if (!(t.push_from_N >= -k_pull * weight && t.push_to_N >= -k_pull * weight)) return false;
    }
    constexpr double k_below = 1e-5;  // of the length: chords of the discrete line
    for (const Vec2& q : points()) {
      if (!(q.y >= problem_.floor_mm - k_below * problem_.rod.length_mm)) return false;
    }
    return true;
  }

  FloorTouch floor_touch(std::size_t k) const {
    const Touch& t = touches_[k];
    FloorTouch f{t.at_mm, t.at_mm + t.lying_mm, t.x_mm, t.x_mm + heading(t) * t.lying_mm};
    f.push_from_N = figures_[k].vertical_end_N;
    if (t.kind == TouchKind::point) f.push_from_N -= figures_[k + 1].vertical_start_N;
    if (t.kind == TouchKind::flat) f.push_to_N = -figures_[k + 1].vertical_start_N;
    return f;
  }

  PlanarRodFigures whole() const {
    const double per_mm = problem_.rod.mass_kg_m * k_gravity / 1000.0;
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

 private:
  static double heading(const Touch& t) { return std::cos(t.angle_deg / k_degrees) > 0.0 ? 1 : -1; }

  double force() const {
    const double length = problem_.rod.length_mm;
    return problem_.rod.mass_kg_m * k_gravity / 1000.0 * length +
           1e6 * problem_.rod.stiffness_Nm2 / (length * length);
  }

  PlanarRodProblem piece(std::size_t i) const {
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

  /// Ways in which a touch can move. A free piece that is nearly straight hardly lets its ends move
  /// apart, so its length beyond the chord (its slack) changes by a way of its own.
  enum class Way {
    slide_from,  ///< begins to lie farther on, both in arc length and along the floor
    slide_to,    ///< lies on farther
    slacken      ///< takes length from the piece after it (or the tail) for the piece before it
  };
  struct Move {
    std::size_t touch;
    Way way;
    double change_mm;   ///< for difference quotients
    double longest_mm;  ///< of a step
  };

  double slack(std::size_t i) const {
    const PlanarRodProblem p = piece(i);
    return p.length_mm - glm::length(p.end);
  }

  std::vector<Move> moves() const {
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

  static void apply(const Move& move, double by_mm, std::vector<Touch>& touches) {
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

  RodOptions newton() const {
    // Second differences of angles carry this much rounding.
    const double n = segments_;
    return {.residual = std::max(1e-10, 3e-15 * n * n), .most_iterations = 200};
  }

  /// The conditions of contact, over the force scale (and the length); false when a piece cannot
  /// be solved.
  bool conditions(std::vector<double>& residual) {
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

  static double size(const std::vector<double>& v) {
    double most = 0.0;
    for (const double x : v) most = std::max(most, std::abs(x));
    return most;
  }

  /// Newton's method with difference quotients on the few unknowns of the touches.
  template <class Angles>
  bool solve(const Angles& start_angles) {
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

  RodOnFloorProblem problem_;
  std::vector<Touch> touches_;
  int segments_;
  std::vector<PlanarRodSolver> solvers_;
  std::vector<PlanarRodFigures> figures_;
  RodReport report_;
};

std::vector<Touch> first_touches(const RodOnFloorProblem& problem, const FloorTouchStart& start) {
  const double length = problem.rod.length_mm;
  const bool free = problem.rod.at_end.kind == EndKind::free;
  const bool end_down = !free && problem.rod.end.y - problem.floor_mm <= 1e-9 * length;
  std::vector<Touch> touches;
  for (const TouchStart& s : start.touches) {
    Touch t{TouchKind::flat, s.from_mm, s.to_mm - s.from_mm, s.from_x_mm};
    const double middle = 0.5 * (s.from_mm + s.to_mm) / length;
    const auto link =
        std::min(static_cast<std::size_t>(middle * static_cast<double>(start.angles_rad.size())),
                 start.angles_rad.size() - 1);
    t.angle_deg = 180.0 * std::round(start.angles_rad[link] / std::numbers::pi);
    if (s.to_end && free) {
      t.kind = s.point ? TouchKind::tip : TouchKind::lying_tail;
    } else if (s.to_end && end_down) {
      t.kind = TouchKind::lying_end;
    } else if (s.point) {
      t.kind = TouchKind::point;
      t.at_mm = 0.5 * (s.from_mm + s.to_mm);
      t.lying_mm = 0.0;
    }
    if (t.kind == TouchKind::tip) t.at_mm = length;
    if (t.kind != TouchKind::flat && t.kind != TouchKind::point) t.lying_mm = length - t.at_mm;
    if (t.kind == TouchKind::lying_end) {
      t.x_mm = problem.rod.end.x - std::cos(t.angle_deg / k_degrees) * t.lying_mm;
    }
    touches.push_back(t);
  }
  return touches;
}

bool is_valid(const RodOnFloorProblem& p) {
  const bool free = p.rod.at_end.kind == EndKind::free;
  const double turns = p.rod.at_end.angle_deg / 180.0;
  return p.floor_mm < 0.0 && std::isfinite(p.floor_mm) && p.rod.mass_kg_m > 0.0 &&
         p.rod.natural_curvature_per_m == 0.0 && p.rod.point_masses.empty() &&
         (free ? turns == std::round(turns) : p.rod.end.y - p.floor_mm >= -1e-9 * p.rod.length_mm);
}

double limit_of(double coarse, double fine) {
  return (4.0 * fine - coarse) / 3.0;
}

}  // namespace

RodOnFloorResult solve_rod_on_floor(const RodOnFloorProblem& problem,
                                    const RefineOptions& options) {
  RodOnFloorResult result;
  if (!is_valid(problem)) return result;
  const RodResult clear = solve_rod(problem.rod, options);
  result.report = clear.report;
  if (clear.report.status == RodStatus::invalid || clear.report.status == RodStatus::too_short) {
    return result;
  }
  const auto above = [&](const Vec2& q) { return q.y >= problem.floor_mm; };
  const bool held_on_floor = problem.rod.at_end.kind != EndKind::free &&
                             problem.rod.end.y - problem.floor_mm <= 1e-9 * problem.rod.length_mm;
  if (clear.converged() && !held_on_floor &&
      std::all_of(clear.points.begin(), clear.points.end(), above)) {
    result.refined = true;
    result.segments = clear.segments;
    result.radius_change = clear.radius_change;
    result.figures = clear.figures;
    result.tip = clear.tip;
    result.points = clear.points;
    return result;
  }

  const FloorTouchStart start = floor_touch_start(problem, options.shape);
  result.report = start.report;
  if (!start.report.converged()) return result;
  result.report.status = RodStatus::not_converged;  // until the pieces have been solved
  std::vector<Touch> touches = first_touches(problem, start);
  if (touches.empty()) return result;
  result.segments = options.first_segments;
  std::optional<Pieces> coarse;
  constexpr int k_kinds = 4;  // changes of mind about what touches in a point and what lies
  for (int i = 0; i < k_kinds; ++i) {
    coarse.emplace(problem, touches, result.segments);
    if (!coarse->solve_from_line(start.angles_rad)) return result;
    const auto wrong = coarse->wrong_touch();
    if (!wrong) break;
    Touch& t = touches[wrong->first];
    t.kind = wrong->second;
    t.lying_mm = 0.0;
    if (t.kind == TouchKind::tip) t.at_mm = problem.rod.length_mm;
    constexpr double k_some = 0.01;  // of the length
    if (t.kind == TouchKind::flat || t.kind == TouchKind::lying_tail) {
      t.lying_mm = k_some * problem.rod.length_mm;
      t.at_mm -= (t.kind == TouchKind::flat ? 0.5 : 1.0) * t.lying_mm;
    }
  }
  if (coarse->wrong_touch() || !coarse->admissible()) return result;
  while (!result.refined && 2 * result.segments <= options.most_segments) {
    result.segments *= 2;
    Pieces fine(problem, coarse->touches(), result.segments);
    if (!fine.solve_from_pieces(*coarse)) return result;
    if (fine.wrong_touch() || !fine.admissible()) return result;
    const PlanarRodFigures a = coarse->whole();
    const PlanarRodFigures b = fine.whole();
    result.radius_change = radius_change(a, b, problem.rod.length_mm);
    result.refined = result.radius_change <= options.change;
    result.figures = extrapolated(a, b);
    result.points = fine.points();
    const Vec2 tip = coarse->points().back();
    result.tip = {limit_of(tip.x, result.points.back().x), limit_of(tip.y, result.points.back().y)};
    result.touches.clear();
    for (std::size_t k = 0; k < fine.touches().size(); ++k) {
      const FloorTouch c = coarse->floor_touch(k);
      FloorTouch t = fine.floor_touch(k);
      for (double FloorTouch::*member :
           {&FloorTouch::from_mm, &FloorTouch::to_mm, &FloorTouch::from_x_mm, &FloorTouch::to_x_mm,
            &FloorTouch::push_from_N, &FloorTouch::push_to_N}) {
        t.*member = limit_of(c.*member, t.*member);
      }
      result.touches.push_back(t);
    }
    coarse.emplace(std::move(fine));
  }
  const double weight = problem.rod.mass_kg_m * k_gravity / 1000.0 * problem.rod.length_mm;
  result.floor_force_N = weight - result.figures.vertical_end_N + result.figures.vertical_start_N;
  result.report.status = RodStatus::converged;
  result.report.residual = coarse->report().residual;
  return result;
}

}  // namespace bight::rod
