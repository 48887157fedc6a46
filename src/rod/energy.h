#pragma once
// Energies of the spatial rod's elements, with gradient and Hessian.
//
// Bending of two links of length l that turn by phi, stiffness EI: EI/(2l) (2 tan(phi/2))^2 (Bergou
// et al., Discrete Elastic Rods, SIGGRAPH 2008, eq. 1 and 3). On links of exact length, (2
// tan(phi/2))^2 = 4 q / (4 l^2 - q) with q = |d|^2, d = x0 - 2 x1 + x2 the second difference.
// Written in d it is convex, which serves Newton's method well, and it becomes infinite when links
// fold.

#include "base/vec.h"

namespace bight::rod {

/// Energy as a function of the second difference d (or, at a clamp, of link minus clamp direction).
/// gradient = slope x d, Hessian = slope x identity + bend x d d^T. Infinite when |d| >= 2 l.
struct BendTerm {
  double energy = 0.0;
  double slope = 0.0;
  double bend = 0.0;
};

/// `stiffness` EI, link length `l`, `square` = |d|^2.
BendTerm bend_term(double stiffness, double l, double square);

}  // namespace bight::rod
