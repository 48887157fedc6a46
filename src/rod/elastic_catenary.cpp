#include "rod/elastic_catenary.h"

#include <algorithm>
#include <cmath>

#include "base/tolerance.h"

namespace bight::rod {
namespace {

/// Ends that a pull (H, V at the start) leads to, minus the wanted ends, and the derivatives.
struct Closure {
  double x = 0.0;
  double z = 0.0;
  double x_h = 0.0;  ///< dx/dH
  double x_v = 0.0;  ///< dx/dV = dz/dH
  double z_v = 0.0;
  double size() const { return std::hypot(x, z); }
};

Closure closure(const ElasticCatenaryProblem& p, double w, double h, double v) {
  const double l = p.line.length_mm;
  const double soft = l / p.axial_stiffness_N;
  const double vb = v + w * l;
  const double ta = std::hypot(h, v);
  const double tb = std::hypot(h, vb);
  const double turn = std::asinh(vb / h) - std::asinh(v / h);
  Closure c;
  c.x = h * soft + h / w * turn - p.line.dx_mm;
  c.z = soft * (v + 0.5 * w * l) + l * (vb + v) / (tb + ta) - p.line.dz_mm;
  c.x_h = soft + (turn - (vb / tb - v / ta)) / w;
  c.x_v = h / w * (1.0 / tb - 1.0 / ta);
  c.z_v = soft + (vb / tb - v / ta) / w;
  return c;
}

}  // namespace

ElasticCatenary solve_elastic_catenary(const ElasticCatenaryProblem& p) {
  ElasticCatenary result;
  const double l = p.line.length_mm;
  const bool valid = p.line.dx_mm > 0.0 && std::isfinite(p.line.dx_mm) &&
                     std::isfinite(p.line.dz_mm) && l > 0.0 && std::isfinite(l) &&
                     p.line.mass_kg_m > 0.0 && std::isfinite(p.line.mass_kg_m) &&
                     p.axial_stiffness_N > 0.0 && std::isfinite(p.axial_stiffness_N);
  if (!valid) return result;

  const double w = p.line.mass_kg_m * k_gravity / 1000.0;
  const double chord = std::hypot(p.line.dx_mm, p.line.dz_mm);
  // Start: the limp line that does not stretch, or a taut spring with some sag, whichever pulls
  // less.
  const Catenary limp = solve_catenary(p.line);
  double h = p.axial_stiffness_N * std::max(chord / l - 1.0, 0.0) * p.line.dx_mm / chord + w * l;
  if (limp.status == CatenaryStatus::hangs) h = std::min(h, limp.horizontal_force_N);
  double v = h * p.line.dz_mm / p.line.dx_mm - 0.5 * w * l;
  if (limp.status == CatenaryStatus::hangs && h == limp.horizontal_force_N) {
    v = limp.vertical_start_N;
  }

  constexpr int k_iterations = 200;  // a handful is usual
  constexpr double k_least_step = 1e-10;
  const double enough = 1e-12 * (chord + l);
  Closure c = closure(p, w, h, v);
  while (c.size() > enough && result.iterations < k_iterations) {
    const double determinant = c.x_h * c.z_v - c.x_v * c.x_v;
    const double dh = -(c.x * c.z_v - c.z * c.x_v) / determinant;
    const double dv = -(c.z * c.x_h - c.x * c.x_v) / determinant;
    double step = dh < 0.0 ? std::min(1.0, 0.9 * h / -dh) : 1.0;  // H stays positive
    Closure next = closure(p, w, h + step * dh, v + step * dv);
    while (!(next.size() < c.size()) && step > k_least_step) {
      step *= 0.5;
      next = closure(p, w, h + step * dh, v + step * dv);
    }
    if (!(next.size() < c.size())) break;
    h += step * dh;
    v += step * dv;
    c = next;
    ++result.iterations;
  }
  result.converged = c.size() <= enough;
  if (!result.converged) return result;

  const double vb = v + w * l;
  result.horizontal_force_N = h;
  result.vertical_start_N = v;
  result.vertical_end_N = vb;
  result.tension_start_N = std::hypot(h, v);
  result.tension_end_N = std::hypot(h, vb);
  // Integral of T over the unstretched length: (V T + H^2 asinh(V / H)) / 2 between the ends.
  const double stretch = 0.5 *
                         (vb * result.tension_end_N - v * result.tension_start_N +
                          h * h * (std::asinh(vb / h) - std::asinh(v / h))) /
                         (w * p.axial_stiffness_N);
  result.stretched_length_mm = l + stretch;
  if (v >= 0.0) return result;
  if (vb <= 0.0) {
    result.lowest = {p.line.dx_mm, p.line.dz_mm};
    return result;
  }
  const double s = -v / w;
  result.lowest = {h * s / p.axial_stiffness_N - h / w * std::asinh(v / h),
                   s * 0.5 * v / p.axial_stiffness_N + s * v / (h + result.tension_start_N)};
  return result;
}

}  // namespace bight::rod
