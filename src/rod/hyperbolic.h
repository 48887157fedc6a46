#pragma once
// Hyperbolic functions of the catenary, without the cancellation of their textbook forms.

namespace bight::rod {

/// sinh(x) - x, relative accuracy also for small x.
double sinh_minus(double x);

/// acosh(1 + y) for y >= 0, relative accuracy also for small y.
double acosh_1p(double y);

/// The u > 0 with sinh(u) / u = ratio, ratio > 1. `ratio_minus_one` is given on its own so that a
/// ratio near 1 keeps its digits; for large ratios `ratio` alone counts.
double inverse_sinhc(double ratio_minus_one, double ratio);

}  // namespace bight::rod
