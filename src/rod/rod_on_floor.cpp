#include "rod/rod_on_floor.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <utility>

#include "base/tolerance.h"
#include "rod/floor_pieces.h"
#include "rod/floor_touch_start.h"

namespace bight::rod {
namespace {

constexpr double k_degrees = 180.0 / std::numbers::pi;

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
         p.rod.natural_curvature_per_m == 0.0 && !p.rod.end_slide_deg &&
         p.rod.point_masses.empty() &&
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
  constexpr double k_touch = 1e-7;  // of the length: closure of the discrete line
  const auto above = [&](const Vec2& q) {
    return q.y >= problem.floor_mm - k_touch * problem.rod.length_mm;
  };
  if (clear.converged() && std::all_of(clear.points.begin(), clear.points.end(), above)) {
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
  std::optional<FloorPieces> coarse;
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
    FloorPieces fine(problem, coarse->touches(), result.segments);
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
