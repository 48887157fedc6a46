#pragma once
// Catenary of a line that stretches (hoses, bungee-like retractor lines): unstretched length L0,
// axial stiffness EA, weight w per unstretched length (Irvine, Cable Structures, 1981, ch. 2):
//   dx = H L0/EA + (H/w) (asinh(Vb/H) - asinh(Va/H)),
//   dz = (L0/EA) (Va + w L0/2) + (sqrt(H^2 + Vb^2) - sqrt(H^2 + Va^2)) / w,   Vb = Va + w L0.

#include "base/vec.h"
#include "rod/catenary.h"

namespace bight::rod {

struct ElasticCatenaryProblem {
  CatenaryProblem line;          ///< `length_mm` is the unstretched length
  double axial_stiffness_N = 0;  ///< EA > 0
};

/// Fields as in Catenary. `converged` is false for invalid input or when the Newton iteration did
/// not reach its residual; the other fields mean nothing then. Any length reaches: it stretches.
struct ElasticCatenary {
  bool converged = false;
  int iterations = 0;
  double horizontal_force_N = 0.0;
  double vertical_start_N = 0.0;
  double vertical_end_N = 0.0;
  double tension_start_N = 0.0;
  double tension_end_N = 0.0;
  double stretched_length_mm = 0.0;
  Vec2 lowest{0.0};
};

/// Newton on the strictly convex complementary energy, closure to 1e-12 of the length.
/// dx must be > 0.
ElasticCatenary solve_elastic_catenary(const ElasticCatenaryProblem& problem);

}  // namespace bight::rod
