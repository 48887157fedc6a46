#pragma once
// Bending stiffness of a line for the shapes of free runs: measured where the plan has it, else a
// rough estimate from diameter and kind, with its range.

#include "plan/plan.h"

namespace bight::study {

/// N m^2. `lower` and `upper` are equal to `value` when it is measured.
struct LineStiffness {
  double value = 0.0;
  double lower = 0.0;
  double upper = 0.0;
  bool measured = false;
};

/// The true stiffness of a line lies between that of loose strands, which slide on each other, and
/// that of a solid of its outside diameter. The estimate is EI = E pi d^4 / 64 with a modulus of
/// the kind:
///
///   cables 40 MPa, air and coolant hoses 30 MPa, extraction hoses (thin wall on a helix) 0.5 MPa
///
/// (estimate, common practice; soft sheath compounds have 5 to 100 MPa). Makes differ by a factor
/// of 3 each way, age and cold by as much again, so a verdict that depends on it asks for a droop
/// test.
inline constexpr double k_stiffness_range = 3.0;
LineStiffness line_stiffness(const plan::Article& article);

}  // namespace bight::study
