#include "chain/span.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/number.h"
#include "base/tolerance.h"

namespace bight::chain {
namespace {

using std::numbers::pi;

bool usable(std::span<const Vec2> pairs) {
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    const Vec2& p = pairs[i];
    if (!(std::isfinite(p.x) && p.x >= 0.0 && std::isfinite(p.y) && p.y >= 0.0)) return false;
    if (i > 0 && !(p.x > pairs[i - 1].x && p.y <= pairs[i - 1].y)) return false;
  }
  return true;
}

std::string pair_text(const Vec2& p) {
  return shortest(p.y) + " mm at " + shortest(p.x) + " kg/m";
}

/// Greatest closing moment in the bend: R sin f (w l/2 + w R (pi - f)) over 0 <= f <= pi. Its
/// derivative falls through 0 once, between 0 and pi/2.
double greatest_closing_moment(double weight, double run, double radius) {
  const auto moment = [&](double f) {
    return radius * std::sin(f) * weight * (0.5 * run + radius * (pi - f));
  };
  const auto slope = [&](double f) {
    return std::cos(f) * (0.5 * run + radius * (pi - f)) - radius * std::sin(f);
  };
  double low = 0.0;
  double high = 0.5 * pi;
  for (int step = 0; step < 60; ++step) {
    const double middle = 0.5 * (low + high);
    (slope(middle) > 0.0 ? low : high) = middle;
  }
  return moment(0.5 * (low + high));
}

}  // namespace

SpanLimit allowed_span(std::span<const Vec2> load_span, double fill_kg_per_m) {
  if (load_span.empty()) {
    return {SpanStatus::no_data, {}, "no load and span pairs of the maker are given"};
  }
  if (!usable(load_span) || !(std::isfinite(fill_kg_per_m) && fill_kg_per_m >= 0.0)) {
    return {SpanStatus::invalid,
            {},
            "the pairs must rise in load and not rise in span, all finite, as must be the load"};
  }
  const std::string load = fixed(fill_kg_per_m, 3) + " kg/m of fill";
  if (fill_kg_per_m <= load_span.front().x) {
    const SpanStatus status =
        fill_kg_per_m == load_span.front().x ? SpanStatus::interpolated : SpanStatus::lightest;
    return {status, load_span.front().y, load + ": maker's " + pair_text(load_span.front())};
  }
  const auto above = std::find_if(load_span.begin(), load_span.end(),
                                  [fill_kg_per_m](const Vec2& p) { return fill_kg_per_m <= p.x; });
  if (above == load_span.end()) {
    return {SpanStatus::too_heavy,
            {},
            load + " is more than the maker's heaviest, " + pair_text(load_span.back())};
  }
  const Vec2 b = *above;
  const Vec2 a = *(above - 1);
  const double share = (fill_kg_per_m - a.x) / (b.x - a.x);
  return {SpanStatus::interpolated, a.y + share * (b.y - a.y),
          load + ": between the maker's " + pair_text(a) + " and " + pair_text(b)};
}

RunForces run_forces(double mass_kg_per_m, double run_mm, double bend_radius_mm) {
  RunForces forces;
  const double w = mass_kg_per_m * k_gravity / 1000.0;
  forces.weight_N_per_mm = w;
  forces.pull_N = w * bend_radius_mm;
  forces.end_load_N = 0.5 * w * run_mm;
  forces.sagging_moment_Nmm = w * run_mm * run_mm / 8.0;
  forces.closing_moment_Nmm = greatest_closing_moment(w, run_mm, bend_radius_mm);
  forces.floor_force_N = 0.5 * w * run_mm + pi * bend_radius_mm * w;
  return forces;
}

}  // namespace bight::chain
