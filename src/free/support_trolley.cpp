#include "free/support_trolley.h"

#include <algorithm>
#include <cmath>

#include "base/tolerance.h"

namespace bight::free {
namespace {

bool is_valid_trolley(const TrolleyProblem& p) {
  return is_finite(p.origin) && is_finite(p.direction) && glm::length(p.direction) > 0.0 &&
         std::isfinite(p.lower_mm) && std::isfinite(p.upper_mm) && p.lower_mm <= p.upper_mm &&
         p.mass_kg >= 0.0 && std::isfinite(p.mass_kg) && p.rolling_friction >= 0.0 &&
         is_valid(p.spans);
}

Vec3 total_load(const std::vector<SpanState>& spans, double mass_kg) {
  Vec3 load(0.0, 0.0, -mass_kg * k_gravity);
  for (const SpanState& s : spans) load += s.force_N;
  return load;
}

}  // namespace

SupportResult rest_of_trolley(const TrolleyProblem& p, LineModel& model) {
  if (!is_valid_trolley(p)) return {};
  const Vec3 along = glm::normalize(p.direction);
  const auto place = [&](double q) { return p.origin + q * along; };
  const BalanceAt balance = [&](double q) {
    const std::vector<SpanState> spans = solve_spans(model, place(q), p.spans);
    const Vec3 load = total_load(spans, p.mass_kg);
    const Vec3 normal = load - glm::dot(load, along) * along;
    Balance b;
    b.force = force_along(spans, along) - p.mass_kg * k_gravity * along.z;
    b.friction = p.rolling_friction > 0.0 ? p.rolling_friction * glm::length(normal) : 0.0;
    b.energy_Nmm = energy_of(spans) + p.mass_kg * k_gravity * place(q).z;
    return b;
  };
  const SupportAtCoordinate at = [&](double q) {
    SupportAt a{q, place(q), solve_spans(model, place(q), p.spans), Vec3(0.0)};
    a.load_N = total_load(a.spans, p.mass_kg);
    return a;
  };

  // Beyond these every span is too short and pulls back.
  double first = p.lower_mm;
  double last = p.upper_mm;
  for (const SupportSpan& s : p.spans) {
    const double middle = glm::dot(s.anchor - p.origin, along);
    first = std::min(first, middle - s.length_mm - 1.0);
    last = std::max(last, middle + s.length_mm + 1.0);
  }
  const bool convex = model.is_convex();
  const RestSearch range{p.lower_mm, p.upper_mm, convex, true, 256};
  SupportResult result =
      settle(balance, at, range, least_energy_first(balance, stable_rests(balance, range)));
  result.unique = convex && result.has_shape();
  if (!result.has_shape()) return result;
  const double q = result.rest.coordinate;
  if (q == p.lower_mm || q == p.upper_mm) {
    const Rests free = stable_rests(balance, {first, last, convex, true, 256});
    if (free.failed || free.stable.empty()) return result;
    const double beyond = q == p.lower_mm ? q - free.stable.front() : free.stable.back() - q;
    result.outside_by = std::max(0.0, beyond);
    if (beyond > 0.0) result.status = SupportStatus::at_stop;
  }
  return result;
}

}  // namespace bight::free
