#include "free/support_festoon.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/tolerance.h"
#include "rod/catenary.h"

namespace bight::free {
namespace {

bool is_valid_festoon(const FestoonProblem& p) {
  return p.loops >= 1 && p.loop_mm > 0.0 && std::isfinite(p.loop_mm) && p.mass_kg_m > 0.0 &&
         std::isfinite(p.mass_kg_m) && p.saddle_mm >= 0.0 && p.pitch_stacked_mm > p.saddle_mm &&
         p.pitch_stacked_mm - p.saddle_mm < p.loop_mm && p.trolley_kg >= 0.0 &&
         std::isfinite(p.trolley_kg) && p.rolling_friction >= 0.0 &&
         std::isfinite(p.rolling_friction) && p.nearest_mm > 0.0 && p.nearest_mm <= p.farthest_mm &&
         std::isfinite(p.farthest_mm);
}

rod::Catenary loop_at(const FestoonProblem& p, double pitch) {
  return rod::solve_catenary({std::max(0.0, pitch - p.saddle_mm), 0.0, p.loop_mm, p.mass_kg_m});
}

/// Distance of the trolleys of a loop that carries a pull; those that touch pass on a push.
double pitch_for(const FestoonProblem& p, double pull) {
  if (!(pull > 0.0)) return p.pitch_stacked_mm;
  const double a = pull / (p.mass_kg_m * k_gravity / 1000.0);
  return std::max(p.pitch_stacked_mm, p.saddle_mm + 2.0 * a * std::asinh(p.loop_mm / (2.0 * a)));
}

/// Pull of the loop with the least one; the next ones have `step` more each.
double least_pull(const FestoonProblem& p, double tow, double equal_pull, double step) {
  const int n = p.loops;
  double lower = equal_pull - (n - 1) * step;  // all loops at most as wide as equal ones
  double upper = equal_pull;                   // all at least as wide
  for (int i = 0; i < 200; ++i) {
    const double middle = 0.5 * (lower + upper);
    if (middle == lower || middle == upper) break;
    double sum = 0.0;
    for (int k = 0; k < n; ++k) sum += pitch_for(p, middle + k * step);
    (sum >= tow ? upper : lower) = middle;
  }
  return upper;
}

}  // namespace

FestoonAt festoon_at(const FestoonProblem& p, double tow_mm) {
  FestoonAt f;
  f.tow_mm = tow_mm;
  f.pitch_mm = std::numeric_limits<double>::quiet_NaN();
  if (!is_valid_festoon(p)) return f;
  const double pitch = tow_mm / p.loops;
  const rod::Catenary equal = loop_at(p, pitch);
  const bool hangs = equal.status == rod::CatenaryStatus::hangs;
  if (!(pitch >= p.pitch_stacked_mm) || !hangs) return f;
  f.pitch_mm = pitch;
  f.depth_mm = -equal.lowest.y;
  f.pull_N = equal.horizontal_force_N;
  f.least_pitch_mm = f.most_pitch_mm = pitch;
  f.least_depth_mm = f.most_depth_mm = f.depth_mm;
  f.most_pull_N = f.pull_N;
  const double load = (p.mass_kg_m * p.loop_mm / 1000.0 + p.trolley_kg) * k_gravity;
  const double step = p.rolling_friction * load;
  if (step <= 0.0 || p.loops == 1) return f;
  const double least = least_pull(p, tow_mm, f.pull_N, step);
  f.most_pull_N = least + (p.loops - 1) * step;
  f.least_pitch_mm = pitch_for(p, least);
  f.most_pitch_mm = pitch_for(p, f.most_pull_N);
  f.most_depth_mm = -loop_at(p, f.least_pitch_mm).lowest.y;
  f.least_depth_mm = -loop_at(p, f.most_pitch_mm).lowest.y;
  return f;
}

FestoonResult check_festoon(const FestoonProblem& p) {
  FestoonResult r;
  if (!is_valid_festoon(p)) return r;
  r.stacked_mm = p.loops * p.pitch_stacked_mm;
  r.shortest_loop_mm = p.farthest_mm / p.loops - p.saddle_mm;
  if (r.stacked_mm > p.nearest_mm) {
    r.status = FestoonStatus::no_room_to_stack;
    r.outside_by_mm = r.stacked_mm - p.nearest_mm;
    return r;
  }
  r.nearest = festoon_at(p, p.nearest_mm);
  r.farthest = festoon_at(p, p.farthest_mm);
  if (std::isnan(r.farthest.pitch_mm) || std::isnan(r.nearest.pitch_mm)) {
    r.status = FestoonStatus::too_short;
    r.outside_by_mm = std::max(0.0, p.farthest_mm - p.loops * (p.loop_mm + p.saddle_mm));
    return r;
  }
  r.status = FestoonStatus::fits;
  return r;
}

}  // namespace bight::free
