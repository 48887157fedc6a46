#pragma once
// What the rod solvers say about a solve. Only `converged` carries a shape.

namespace bight::rod {

enum class RodStatus {
  converged,      ///< residual reached, and the shape is a strict local minimum of energy
  unstable,       ///< an equilibrium, but not a stable one: no line would stay there
  not_converged,  ///< iterations or step lengths ran out
  too_short,      ///< the ends are as far apart as the line is long, or farther
  invalid         ///< a value is not finite or out of range
};

struct RodOptions {
  /// Largest unbalanced moment on a link over (force scale x link length), and closure over length.
  double residual = 1e-8;
  int most_iterations = 100;
};

/// Shapes may be used exactly when status is converged.
struct RodReport {
  RodStatus status = RodStatus::invalid;
  double residual = 0.0;  ///< in the measure of RodOptions::residual
  int iterations = 0;     ///< Newton steps (factorisations), all starts together
  bool converged() const { return status == RodStatus::converged; }
};

}  // namespace bight::rod
