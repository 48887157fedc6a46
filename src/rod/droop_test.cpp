#include "rod/droop_test.h"

#include <cmath>

#include "base/tolerance.h"
#include "rod/planar_rod.h"

namespace bight::rod {
namespace {

/// Droop over overhang at a stiffness; extrapolated from two discretisations.
class Droop {
 public:
  explicit Droop(const DroopTest& test) {
    problem_.length_mm = test.overhang_mm;
    problem_.mass_kg_m = test.mass_kg_m;
    problem_.at_start = {EndKind::clamped, 0.0};
    problem_.at_end = {EndKind::free, 0.0};
  }

  double at(double stiffness_Nm2) {
    problem_.stiffness_Nm2 = stiffness_Nm2;
    const double coarse = tip(coarse_);
    const double fine = tip(fine_);
    return (4.0 * fine - coarse) / 3.0;
  }

 private:
  double tip(PlanarRodSolver& solver) {
    if (!solver.solve(problem_).converged()) return std::nan("");
    return -solver.point_at(problem_.length_mm).y / problem_.length_mm;
  }

  PlanarRodProblem problem_;
  PlanarRodSolver coarse_{128};
  PlanarRodSolver fine_{256};
};

}  // namespace

DroopResult stiffness_from_droop(const DroopTest& test) {
  DroopResult result;
  const bool valid = test.overhang_mm > 0.0 && std::isfinite(test.overhang_mm) &&
                     test.mass_kg_m > 0.0 && std::isfinite(test.mass_kg_m) && test.droop_mm > 0.0 &&
                     std::isfinite(test.droop_mm);
  if (!valid) return result;
  const double wanted = test.droop_mm / test.overhang_mm;
  constexpr double k_least = 0.001;
  constexpr double k_most = 0.98;
  if (wanted < k_least) {
    result.status = DroopStatus::too_stiff;
    return result;
  }
  if (wanted > k_most) {
    result.status = DroopStatus::too_limp;
    return result;
  }
  const double length_m = test.overhang_mm / 1000.0;
  // A real droop is less than the small-deflection formula says, so that formula bounds EI above.
  const double small = test.mass_kg_m * k_gravity * std::pow(length_m, 3) / (8.0 * wanted);
  Droop droop(test);
  double upper = std::log(small) + 1e-3;
  double lower = upper;
  double at_lower = 0.0;
  do {
    lower -= 1.0;
    at_lower = droop.at(std::exp(lower)) - wanted;
  } while (at_lower < 0.0);
  if (!std::isfinite(at_lower)) return result;
  // Bisection with secant steps (Illinois): the droop falls with log EI.
  double at_upper = droop.at(std::exp(upper)) - wanted;
  double root = upper;
  constexpr int k_steps = 60;
  constexpr double k_enough = 1e-9;
  int side = 0;
  for (int i = 0; i < k_steps; ++i) {
    root = (lower * at_upper - upper * at_lower) / (at_upper - at_lower);
    const double at_root = droop.at(std::exp(root)) - wanted;
    if (!std::isfinite(at_root)) return result;
    if (std::abs(at_root) <= k_enough) break;
    if (at_root > 0.0) {
      lower = root;
      at_lower = at_root;
      if (side == 1) at_upper *= 0.5;
      side = 1;
    } else {
      upper = root;
      at_upper = at_root;
      if (side == -1) at_lower *= 0.5;
      side = -1;
    }
  }
  result.status = DroopStatus::solved;
  result.stiffness_Nm2 = std::exp(root);
  constexpr double k_difference = 1e-3;
  const double slope =
      (droop.at(std::exp(root + k_difference)) - droop.at(std::exp(root - k_difference))) /
      (2.0 * k_difference);
  result.uncertainty_Nm2 = result.stiffness_Nm2 / (std::abs(slope) * test.overhang_mm);
  return result;
}

}  // namespace bight::rod
