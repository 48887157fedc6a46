#include "line/electrical.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "base/number.h"

namespace bight::line {
namespace {

constexpr std::array<Class5Row, 11> k_class_5{{{0.5, 39.0, 40.1},
                                               {0.75, 26.0, 26.7},
                                               {1.0, 19.5, 20.0},
                                               {1.5, 13.3, 13.7},
                                               {2.5, 7.98, 8.21},
                                               {4.0, 4.95, 5.09},
                                               {6.0, 3.30, 3.39},
                                               {10.0, 1.91, 1.95},
                                               {16.0, 1.21, 1.24},
                                               {25.0, 0.780, 0.795},
                                               {35.0, 0.554, 0.565}}};

/// Relative: areas are nominal values, equal when they read the same in a plan.
constexpr double k_same_area = 1e-6;

std::string listed_areas() {
  std::string text;
  for (const Class5Row& row : k_class_5)
    text += (text.empty() ? "" : ", ") + shortest(row.area_mm2);
  return text;
}

/// Conductors' worth of drop and loss in the two formulas.
struct SystemFactors {
  double drop = 2.0;
  double loss = 2.0;
};

SystemFactors factors(plan::Circuit::System system) {
  if (system == plan::Circuit::System::three_phase) return {std::numbers::sqrt3, 3.0};
  return {};
}

std::string range_problem(const DropProblem& p) {
  const auto positive = [](double v) { return std::isfinite(v) && v > 0.0; };
  const auto not_negative = [](double v) { return std::isfinite(v) && v >= 0.0; };
  if (!positive(p.voltage_V)) return "the voltage is not above 0";
  if (!not_negative(p.current_A)) return "the current is negative or not a number";
  if (!not_negative(p.length_m)) return "the length is negative or not a number";
  if (!(p.power_factor > 0.0 && p.power_factor <= 1.0)) return "the power factor is not in (0, 1]";
  if (!not_negative(p.reactance_mohm_per_m)) return "the reactance is negative or not a number";
  if (p.resistance_20_mohm_per_m && !positive(*p.resistance_20_mohm_per_m)) {
    return "the resistance is not above 0";
  }
  // The linear law is for conductors in use; it would reach 0 ohm at -234 deg C.
  for (const double t : {p.temperature_C, p.metering_temperature_C}) {
    if (!(t >= -100.0 && t <= 300.0)) return "a temperature is not within -100 to 300 deg C";
  }
  return {};
}

}  // namespace

std::span<const Class5Row> class_5_table() {
  return k_class_5;
}

std::optional<double> class_5_resistance(double area_mm2, bool metal_coated) {
  const auto* const row =
      std::find_if(k_class_5.begin(), k_class_5.end(), [area_mm2](const Class5Row& r) {
        return std::abs(r.area_mm2 - area_mm2) <= k_same_area * r.area_mm2;
      });
  if (row == k_class_5.end()) return {};
  return metal_coated ? row->metal_coated_ohm_per_km : row->plain_ohm_per_km;
}

double resistance_at(double resistance_20, double temperature_C) {
  return resistance_20 * (1.0 + k_copper_temperature_coefficient * (temperature_C - 20.0));
}

DropResult voltage_drop(const DropProblem& problem) {
  DropResult result;
  result.problem = range_problem(problem);
  if (!result.problem.empty()) {
    result.status = DropStatus::invalid;
    return result;
  }
  const std::optional<double> r20 =
      problem.resistance_20_mohm_per_m ? problem.resistance_20_mohm_per_m
                                       : class_5_resistance(problem.area_mm2, problem.metal_coated);
  if (!r20) {
    result.status = DropStatus::unknown_area;
    result.problem = "no resistance is known for " + shortest(problem.area_mm2) +
                     " mm^2; IEC 60228 class 5 lists " + listed_areas() + " mm^2";
    return result;
  }

  const bool dc = problem.system == plan::Circuit::System::dc;
  const double cos_phi = dc ? 1.0 : problem.power_factor;
  const double sin_phi = std::sqrt(1.0 - cos_phi * cos_phi);
  const double reactance = dc ? 0.0 : problem.reactance_mohm_per_m;
  const auto [drop_factor, loss_factor] = factors(problem.system);
  const double r = resistance_at(*r20, problem.temperature_C);
  const double length_km = problem.length_m / 1000.0;

  result.resistance_mohm_per_m = r;
  result.drop_V = drop_factor * problem.current_A * length_km * (r * cos_phi + reactance * sin_phi);
  result.drop_percent = 100.0 * result.drop_V / problem.voltage_V;
  result.loss_W = loss_factor * problem.current_A * problem.current_A * r * length_km;
  result.loop_ohm = 2.0 * resistance_at(*r20, problem.metering_temperature_C) * length_km;
  return result;
}

DropProblem drop_problem(const plan::Circuit& circuit, const plan::Article& article,
                         double length_mm) {
  return {.system = circuit.system,
          .voltage_V = circuit.voltage,
          .current_A = circuit.current,
          .length_m = length_mm / 1000.0,
          .area_mm2 = article.core_area,
          .metal_coated = article.tinned,
          .resistance_20_mohm_per_m = {},
          .temperature_C = circuit.temperature,
          .power_factor = circuit.power_factor};
}

}  // namespace bight::line
