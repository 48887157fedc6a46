#pragma once
// Resistance of a line's conductors, voltage drop and loss under load, and the loop resistance that
// a meter should show on the check sheet.

#include <optional>
#include <span>
#include <string>

#include "plan/plan.h"

namespace bight::line {

/// One row of IEC 60228:2004, Table 3: flexible copper conductors, class 5, largest DC resistance
/// at 20 deg C.
struct Class5Row {
  double area_mm2 = 0.0;
  double plain_ohm_per_km = 0.0;
  double metal_coated_ohm_per_km = 0.0;
};

/// The table's rows from 0.5 to 35 mm^2, rising.
std::span<const Class5Row> class_5_table();

/// Largest resistance at 20 deg C of a class 5 conductor, ohm/km (= mohm/m). Nothing for a
/// cross-section that the table does not list.
std::optional<double> class_5_resistance(double area_mm2, bool metal_coated);

/// Copper's temperature coefficient at 20 deg C, 1/K (IEC 60028).
inline constexpr double k_copper_temperature_coefficient = 0.00393;

/// Reactance of a conductor of a multi-core cable, mohm/m (IEC 60364-5-52, Annex G).
inline constexpr double k_cable_reactance = 0.08;

/// Resistance at a conductor temperature from that at 20 deg C: R20 (1 + 0.00393 (T - 20)).
double resistance_at(double resistance_20, double temperature_C);

struct DropProblem {
  plan::Circuit::System system = plan::Circuit::System::single_phase;
  double voltage_V = 0.0;  ///< between conductors (three-phase: line to line)
  double current_A = 0.0;
  double length_m = 0.0;  ///< one way
  double area_mm2 = 0.0;
  bool metal_coated = false;
  std::optional<double> resistance_20_mohm_per_m;   ///< the maker's, instead of the table's
  double temperature_C = 70.0;                      ///< of the conductor under load
  double power_factor = 1.0;                        ///< cos phi, inductive; DC: not used
  double reactance_mohm_per_m = k_cable_reactance;  ///< DC: not used
  double metering_temperature_C = 20.0;             ///< at which the loop is measured
};

enum class DropStatus {
  ok,
  unknown_area,  ///< not in the table and no maker's resistance given
  invalid,       ///< a number is not finite or outside its range
};

/// All figures are meaningless unless status is ok; `problem` says why then.
struct DropResult {
  DropStatus status = DropStatus::ok;
  std::string problem;
  double resistance_mohm_per_m = 0.0;  ///< one conductor at `temperature_C`
  double drop_V = 0.0;                 ///< three-phase: line to line
  double drop_percent = 0.0;           ///< of voltage_V
  double loss_W = 0.0;                 ///< of all conductors that carry the current
  double loop_ohm =
      0.0;  ///< out and back at `metering_temperature_C` (three-phase: two conductors)
};

/// Drop = k I L (r cos phi + x sin phi), k = 2 for DC and single phase, sqrt 3 for three phases
/// (IEC 60364-5-52, Annex G); loss = 2 I^2 r L or 3 I^2 r L; loop = 2 r L.
DropResult voltage_drop(const DropProblem& problem);

/// The problem of a line of the plan: `length_mm` is its cut length.
DropProblem drop_problem(const plan::Circuit& circuit, const plan::Article& article,
                         double length_mm);

}  // namespace bight::line
