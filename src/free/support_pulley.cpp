#include "free/support_pulley.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "base/tolerance.h"

namespace bight::free {
namespace {

constexpr double k_infinity = std::numeric_limits<double>::infinity();
/// Relative: where the pull is least. The pull there is then right to rounding.
constexpr double k_turn = 1e-7;

bool is_valid_run(const Vec3& place, SupportSpan run) {
  run.length_mm = 1.0;  // the one given is not used
  return is_finite(place) && is_valid(std::vector<SupportSpan>{run});
}

SpanState solve_run(LineModel& model, const Vec3& place, SupportSpan run, double length) {
  run.length_mm = length;
  return model.solve(place, run);
}

double pull_of(const SpanState& s) {
  if (s.status == SpanStatus::too_short) return k_infinity;
  return s.status == SpanStatus::hangs ? s.pull_N : std::numeric_limits<double>::quiet_NaN();
}

/// What friction at the pulley can hold: the greater pull is at most exp(mu theta) x the lesser.
double capstan(double pull, double other, const Vec3& leaving, const Vec3& other_leaving,
               double friction) {
  if (friction == 0.0) return 0.0;
  const double between = std::acos(std::clamp(glm::dot(leaving, other_leaving), -1.0, 1.0));
  return std::min(pull, other) * std::expm1(friction * (std::numbers::pi - between));
}

/// Where a function that falls and then rises is least (Kiefer 1953, golden section).
template <class F>
double least_at(const F& f, double lower, double upper) {
  const double ratio = 0.5 * (std::sqrt(5.0) - 1.0);
  double a = upper - ratio * (upper - lower);
  double b = lower + ratio * (upper - lower);
  double fa = f(a);
  double fb = f(b);
  for (int i = 0; i < 100 && upper - lower > k_turn * upper; ++i) {
    if (fa < fb) {
      upper = b;
      b = a;
      fb = fa;
      fa = f(a = upper - ratio * (upper - lower));
    } else {
      lower = a;
      a = b;
      fa = fb;
      fb = f(b = lower + ratio * (upper - lower));
    }
  }
  return 0.5 * (lower + upper);
}

/// A run of given ends against a pull that is constant or grows with what hangs beyond. Its force
/// falls to one least value and then rises: with u as in rod/catenary.h and L(u) the length, the
/// slope of L coth u (+ 2 L with a tail) has the sign of L'/L - csch^2 u / (coth u (+ 2)), where
/// L'/L = (coth u - 1/u) s^2 / (s^2 + dz^2) rises and the other falls. So there is one stable
/// balance at most, and one unstable longer one.
SupportResult rest_of_run(const BalanceAt& balance, const SupportAtCoordinate& at, double chord,
                          double lower, double upper, bool proved) {
  SupportResult result;
  if (upper <= chord) {
    result.status = SupportStatus::out_of_reach;
    result.short_by_mm = chord - upper;
    return result;
  }
  Rests rests;
  const auto force = [&](double length) {
    const double f = balance(length).force;
    rests.failed = rests.failed || std::isnan(f);
    return f;
  };
  // Far beyond the turn: the pull of a level run is least at 1.26 x its chord (u tanh u = 1).
  const double far = 4.0 * std::max(chord, upper);
  const double turn = least_at(force, std::max(chord, 1e-9 * upper), far);
  const bool balances = force(turn) < 0.0;
  double natural = k_infinity;
  if (balances) {
    const Rests inside = stable_rests(balance, {chord, turn, true, true, 1});
    rests.failed = rests.failed || inside.failed;
    if (!inside.stable.empty()) natural = inside.stable.front();
  }
  if (natural >= lower && natural <= upper) rests.stable.push_back(natural);
  if (natural < lower && force(lower) <= 0.0) rests.stable.push_back(lower);
  if (natural != upper && force(upper) > 0.0) rests.stable.push_back(upper);
  result = settle(balance, at, {lower, upper, true, true, 256, turn}, rests);
  if (!result.has_shape()) return result;
  result.unique = proved && result.others.empty();
  const double length = result.rest.coordinate;
  if (length == lower && natural < lower) {
    result.outside_by = lower - natural;
    result.status = SupportStatus::at_stop;
  } else if (length == upper && natural > upper) {
    result.status = balances ? SupportStatus::at_stop : SupportStatus::runs_out;
    result.outside_by = balances ? natural - upper : 0.0;
  } else if (length == upper && natural < lower) {
    result.status = SupportStatus::runs_out;
  }
  return result;
}

}  // namespace

SupportResult rest_of_pulley(const WeightedPulleyProblem& p, LineModel& model) {
  const double lower = p.line_mm - p.most_tail_mm;
  const double upper = p.line_mm - p.least_tail_mm;
  const bool valid = is_valid_run(p.pulley, p.run) && std::isfinite(p.line_mm) && lower > 0.0 &&
                     lower <= upper && p.least_tail_mm >= 0.0 && p.weight_kg >= 0.0 &&
                     std::isfinite(p.weight_kg) && p.friction >= 0.0 && std::isfinite(p.friction);
  if (!valid) return {};
  const double w = p.run.mass_kg_m * k_gravity / 1000.0;
  const Vec3 down(0.0, 0.0, -1.0);
  const auto tail_pull = [&](double length) {
    return p.weight_kg * k_gravity + w * (p.line_mm - length);
  };
  const BalanceAt balance = [&](double length) {
    const SpanState s = solve_run(model, p.pulley, p.run, length);
    const double pull = pull_of(s);
    const double other = tail_pull(length);
    const double tail = p.line_mm - length;
    const double tail_energy =
        p.weight_kg * k_gravity * (p.pulley.z - tail) + w * tail * (p.pulley.z - 0.5 * tail);
    return Balance{pull - other, capstan(pull, other, s.leaving, down, p.friction),
                   energy_of({s}) + tail_energy};
  };
  const SupportAtCoordinate at = [&](double length) {
    SupportAt a{length, p.pulley, {solve_run(model, p.pulley, p.run, length)}, Vec3(0.0)};
    a.load_N = a.spans.front().force_N + tail_pull(length) * down;
    return a;
  };
  return rest_of_run(balance, at, glm::distance(p.pulley, p.run.anchor), lower, upper,
                     model.is_convex());
}

SupportResult rest_of_retractor(const RetractorProblem& p, LineModel& model) {
  const bool valid = is_valid_run(p.place, p.run) && p.pull_N > 0.0 && std::isfinite(p.pull_N) &&
                     p.friction_N >= 0.0 && std::isfinite(p.friction_N) && p.least_mm > 0.0 &&
                     p.least_mm <= p.most_mm && std::isfinite(p.most_mm);
  if (!valid) return {};
  const double w = p.run.mass_kg_m * k_gravity / 1000.0;
  const BalanceAt balance = [&](double length) {
    const SpanState s = solve_run(model, p.place, p.run, length);
    return Balance{pull_of(s) - p.pull_N, p.friction_N,
                   energy_of({s}) + length * (p.pull_N - w * p.place.z)};
  };
  const SupportAtCoordinate at = [&](double length) {
    SupportAt a{length, p.place, {solve_run(model, p.place, p.run, length)}, Vec3(0.0)};
    a.load_N = a.spans.front().force_N;
    return a;
  };
  return rest_of_run(balance, at, glm::distance(p.place, p.run.anchor), p.least_mm, p.most_mm,
                     model.is_convex());
}

SupportResult rest_of_pulley(const TiedPulleyProblem& p, LineModel& model) {
  SupportSpan other = p.run;
  other.anchor = p.tie_off;
  other.anchor_direction.reset();
  const bool valid = is_valid_run(p.pulley, p.run) && is_finite(p.tie_off) && p.line_mm > 0.0 &&
                     std::isfinite(p.line_mm) && p.friction >= 0.0 && std::isfinite(p.friction);
  if (!valid) return {};
  SupportResult result;
  const double least = 1e-9 * p.line_mm;  // an anchor at the pulley itself
  const double lower = std::max(least, glm::distance(p.pulley, p.run.anchor));
  const double upper = p.line_mm - std::max(least, glm::distance(p.pulley, p.tie_off));
  if (lower >= upper) {
    result.status = SupportStatus::out_of_reach;
    result.short_by_mm = lower - upper;
    return result;
  }
  const auto both = [&](double length) {
    return std::vector<SpanState>{solve_run(model, p.pulley, p.run, length),
                                  solve_run(model, p.pulley, other, p.line_mm - length)};
  };
  const BalanceAt balance = [&](double length) {
    const std::vector<SpanState> s = both(length);
    const double pull = pull_of(s[0]);
    const double beyond = pull_of(s[1]);
    return Balance{pull - beyond, capstan(pull, beyond, s[0].leaving, s[1].leaving, p.friction),
                   energy_of(s)};
  };
  const SupportAtCoordinate at = [&](double length) {
    SupportAt a{length, p.pulley, both(length), Vec3(0.0)};
    a.load_N = a.spans[0].force_N + a.spans[1].force_N;
    return a;
  };
  const RestSearch range{lower, upper, false, true, 256};
  return settle(balance, at, range, least_energy_first(balance, stable_rests(balance, range)));
}

}  // namespace bight::free
