#include "rod/rod.h"

#include <algorithm>
#include <cmath>

namespace bight::rod {
namespace {

template <class T>
T limit_of(const T& coarse, const T& fine) {
  return (4.0 * fine - coarse) / 3.0;
}

/// Each link becomes two; angles are interpolated between link middles.
std::vector<double> halved(std::span<const double> angles) {
  std::vector<double> fine;
  const std::size_t n = angles.size();
  fine.reserve(2 * n);
  for (std::size_t j = 0; j < n; ++j) {
    const double before = j > 0 ? angles[j - 1] : angles[j];
    const double after = j + 1 < n ? angles[j + 1] : angles[j];
    fine.push_back(0.75 * angles[j] + 0.25 * before);
    fine.push_back(0.75 * angles[j] + 0.25 * after);
  }
  return fine;
}

}  // namespace

PlanarRodFigures extrapolated(const PlanarRodFigures& coarse, const PlanarRodFigures& fine) {
  PlanarRodFigures f = fine;
  for (double PlanarRodFigures::*member :
       {&PlanarRodFigures::energy_Nmm, &PlanarRodFigures::horizontal_force_N,
        &PlanarRodFigures::vertical_start_N, &PlanarRodFigures::vertical_end_N,
        &PlanarRodFigures::moment_start_Nmm, &PlanarRodFigures::moment_end_Nmm,
        &PlanarRodFigures::smallest_radius_mm}) {
    f.*member = limit_of(coarse.*member, fine.*member);
  }
  f.lowest.y = limit_of(coarse.lowest.y, fine.lowest.y);
  return f;
}

double radius_change(const PlanarRodFigures& coarse, const PlanarRodFigures& fine,
                     double length_mm) {
  constexpr double k_straight = 1e-6;  // curvature x length: as good as none
  const double before = length_mm / coarse.smallest_radius_mm;
  const double after = length_mm / fine.smallest_radius_mm;
  return std::abs(after - before) / std::max(before, k_straight);
}

RodResult solve_rod(const PlanarRodProblem& problem, const RefineOptions& options) {
  RodResult result;
  PlanarRodSolver solver(options.first_segments);
  result.segments = options.first_segments;
  result.report = options.shape == ShapeChoice::lowest
                      ? solver.solve_lowest(problem, options.newton)
                      : solver.solve_cold(problem, options.newton);
  if (!result.report.converged()) return result;
  PlanarRodFigures coarse = solver.figures();
  Vec2 coarse_tip = solver.points().back();
  while (!result.refined && 2 * result.segments <= options.most_segments) {
    const std::vector<double> start = halved(solver.angles_rad());
    result.segments *= 2;
    PlanarRodSolver finer(result.segments);
    const RodReport report = finer.solve_from(start, problem, options.newton);
    result.report.status = report.status;
    result.report.residual = report.residual;
    result.report.iterations += report.iterations;
    if (!report.converged()) return result;
    const PlanarRodFigures fine = finer.figures();
    result.radius_change = radius_change(coarse, fine, problem.length_mm);
    result.lowest_change = std::abs(fine.lowest.y - coarse.lowest.y) / problem.length_mm;
    result.refined =
        result.radius_change <= options.change && result.lowest_change <= options.change;
    result.figures = extrapolated(coarse, fine);
    result.points = finer.points();
    result.tip = limit_of(coarse_tip, result.points.back());
    coarse_tip = result.points.back();
    coarse = fine;
    solver = std::move(finer);
  }
  return result;
}

}  // namespace bight::rod
