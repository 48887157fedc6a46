#include "free/support_rest.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/check.h"
#include "free/sign_change.h"

namespace bight::free {
namespace {

constexpr double k_infinity = std::numeric_limits<double>::infinity();

/// Places from the rest to an end of the range, in order: in steps that grow up to where the force
/// is known to fall, in equal ones beyond.
std::vector<double> places_towards(double end, double rest, const RestSearch& search) {
  std::vector<double> places;
  const double known = search.falling ? (end > rest ? std::min(end, search.turn) : end) : rest;
  constexpr double k_growth = 1.5;
  const double first = (known - rest) / search.steps;
  for (double way = first; std::abs(way) < std::abs(known - rest); way *= k_growth) {
    places.push_back(rest + way);
  }
  if (known != rest) places.push_back(known);
  const double from = known;
  for (int i = 1; i <= search.steps && from != end; ++i) {
    const double t = static_cast<double>(i) / search.steps;
    places.push_back(i == search.steps ? end : from + t * (end - from));
  }
  return places;
}

}  // namespace

Rests stable_rests(const BalanceAt& balance, const RestSearch& search) {
  BIGHT_CHECK(search.lower <= search.upper && search.steps >= 1);
  Rests rests;
  const auto force = [&](double q) {
    const double f = balance(q).force;
    rests.failed = rests.failed || std::isnan(f);
    return f;
  };
  const int steps = search.falling ? 1 : search.steps;
  double before_at = search.lower;
  double before = force(before_at);
  if (search.stops && before <= 0.0) rests.stable.push_back(before_at);
  for (int i = 1; i <= steps; ++i) {
    const double t = static_cast<double>(i) / steps;
    const double at = i == steps ? search.upper : search.lower + t * (search.upper - search.lower);
    const double here = force(at);
    if (before > 0.0 && here <= 0.0) {
      rests.stable.push_back(last_before_change(force, {at, here}, {before_at, before}));
    }
    before_at = at;
    before = here;
  }
  if (search.stops && before > 0.0) rests.stable.push_back(search.upper);
  return rests;
}

FrictionBand friction_band(const BalanceAt& balance, double rest, const RestSearch& search) {
  FrictionBand band{rest, rest, false};
  if (balance(rest).friction <= 0.0) return band;
  /// Greater than 0 where it slips back towards the rest; `side` is -1 below the rest, +1 above.
  const auto slip = [&](double q, double side) {
    const Balance b = balance(q);
    const double back = -side * b.force;
    band.failed = band.failed || std::isnan(back) || std::isnan(b.friction);
    if (back == k_infinity) return k_infinity;  // locked wheels do not lengthen a line
    const double beyond = back - b.friction;
    return std::isnan(beyond) ? k_infinity : beyond;
  };
  for (const double side : {-1.0, 1.0}) {
    const double end = side < 0.0 ? search.lower : search.upper;
    double& edge = side < 0.0 ? band.low : band.high;
    double before = slip(rest, side);
    if (before > 0.0) continue;
    for (const double at : places_towards(end, rest, search)) {
      const double here = slip(at, side);
      if (here > 0.0) {
        edge =
            last_before_change([&](double q) { return slip(q, side); }, {edge, before}, {at, here});
        break;
      }
      edge = at;
      before = here;
    }
  }
  return band;
}

Rests least_energy_first(const BalanceAt& balance, Rests rests) {
  const auto energy = [&](double q) {
    const Balance b = balance(q);
    return std::isfinite(b.energy_Nmm) ? b.energy_Nmm : k_infinity;
  };
  const auto least = std::min_element(rests.stable.begin(), rests.stable.end(),
                                      [&](double a, double b) { return energy(a) < energy(b); });
  if (least != rests.stable.end()) std::rotate(rests.stable.begin(), least, least + 1);
  return rests;
}

SupportResult settle(const BalanceAt& balance, const SupportAtCoordinate& at,
                     const RestSearch& search, const Rests& rests) {
  SupportResult result;
  result.status = SupportStatus::not_converged;
  if (rests.failed || rests.stable.empty()) return result;
  const double best = rests.stable.front();
  result.others.assign(rests.stable.begin() + 1, rests.stable.end());
  result.rest = at(best);
  for (const SpanState& s : result.rest.spans) {
    if (s.status == SpanStatus::too_short) {
      result.status = SupportStatus::out_of_reach;
      result.short_by_mm = std::max(result.short_by_mm, s.short_by_mm);
    } else if (s.status != SpanStatus::hangs) {
      return result;
    }
  }
  if (result.status == SupportStatus::out_of_reach) return result;
  const FrictionBand band = friction_band(balance, best, search);
  if (band.failed) return result;
  result.low = band.low == best ? result.rest : at(band.low);
  result.high = band.high == best ? result.rest : at(band.high);
  result.status = SupportStatus::rests;
  return result;
}

double force_along(const std::vector<SpanState>& spans, const Vec3& direction) {
  double finite = 0.0;
  double penalty = 0.0;
  bool reaches = true;
  for (const SpanState& s : spans) {
    if (s.status == SpanStatus::too_short) {
      reaches = false;
      penalty += s.short_by_mm * glm::dot(s.leaving, direction);
    } else if (s.status == SpanStatus::hangs) {
      finite += glm::dot(s.force_N, direction);
    } else {
      return std::numeric_limits<double>::quiet_NaN();
    }
  }
  if (reaches) return finite;
  return penalty == 0.0 ? 0.0 : std::copysign(k_infinity, penalty);
}

double energy_of(const std::vector<SpanState>& spans) {
  double energy = 0.0;
  for (const SpanState& s : spans) {
    energy += s.status == SpanStatus::hangs ? s.energy_Nmm : k_infinity;
  }
  return energy;
}

std::vector<SpanState> solve_spans(LineModel& model, const Vec3& support,
                                   const std::vector<SupportSpan>& spans) {
  std::vector<SpanState> states;
  states.reserve(spans.size());
  for (const SupportSpan& span : spans) states.push_back(model.solve(support, span));
  return states;
}

bool is_valid(const std::vector<SupportSpan>& spans) {
  return !spans.empty() && std::all_of(spans.begin(), spans.end(), [](const SupportSpan& s) {
    const bool upright = !s.anchor_direction || (is_finite(*s.anchor_direction) &&
                                                 std::abs(s.anchor_direction->x) < 1e-9 &&
                                                 std::abs(s.anchor_direction->y) < 1e-9);
    return is_finite(s.anchor) && s.length_mm > 0.0 && std::isfinite(s.length_mm) &&
           s.mass_kg_m > 0.0 && std::isfinite(s.mass_kg_m) && upright;
  });
}

}  // namespace bight::free
