#pragma once
// Bending stiffness from a droop test: a piece of line sticks out level from the edge of a table
// and its tip droops by so much. Anyone can measure it, and no data sheet says it. Solves the heavy
// elastica (Bickley, "The heavy elastica", Phil. Mag. 17, 1934) backwards; for small droops it is
// EI = w L^4 / (8 d).

namespace bight::rod {

struct DroopTest {
  double overhang_mm = 0.0;  ///< length that sticks out level, > 0
  double mass_kg_m = 0.0;    ///< > 0
  double droop_mm = 0.0;     ///< of the tip below the table's edge, 0 < droop < 0.98 overhang
};

enum class DroopStatus {
  solved,
  too_stiff,  ///< droops less than 0.1 % of its overhang: let it stick out farther
  too_limp,   ///< droops more than 98 %: it just hangs; let it stick out less
  invalid
};

/// `uncertainty_Nm2`: change of the stiffness when the droop was read wrong by 1 mm.
struct DroopResult {
  DroopStatus status = DroopStatus::invalid;
  double stiffness_Nm2 = 0.0;
  double uncertainty_Nm2 = 0.0;
};

/// Relative accuracy 1e-4 or better. A line that keeps a set is measured twice, turned over in
/// between, and the mean of the two droops is given (common practice).
DroopResult stiffness_from_droop(const DroopTest& test);

}  // namespace bight::rod
