#include "free/support_boom.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

namespace bight::free {
namespace {

constexpr double k_degree = std::numbers::pi / 180.0;
constexpr int k_steps = 360;
constexpr double k_same_deg = 1e-9;  // a rest just at a stop: rounding of its direction

bool is_valid_boom(const BoomProblem& p) {
  return is_finite(p.post) && p.radius_mm > 0.0 && std::isfinite(p.radius_mm) &&
         std::isfinite(p.lower_deg) && std::isfinite(p.upper_deg) && p.lower_deg <= p.upper_deg &&
         p.upper_deg <= p.lower_deg + 360.0 && p.friction_Nmm >= 0.0 && is_valid(p.spans);
}

/// Rests of a boom with one line: it points at the anchor, `towards`, or leans on a stop.
Rests rests_of_one(const BalanceAt& balance, double lower, double upper, double towards) {
  Rests rests;
  const double at_lower = balance(lower).force;
  const double at_upper = balance(upper).force;
  rests.failed = std::isnan(at_lower) || std::isnan(at_upper);
  const bool inside = towards > lower + k_same_deg && towards < upper - k_same_deg;
  if (at_lower <= 0.0) rests.stable.push_back(lower);
  if (inside) rests.stable.push_back(towards);
  if (at_upper > 0.0) rests.stable.push_back(upper);
  if (rests.stable.empty()) {  // right at a stop, and rounding pulls it off
    const auto from = [&](double stop) { return std::abs(std::remainder(towards - stop, 360.0)); };
    rests.stable.push_back(from(lower) < from(upper) ? lower : upper);
  }
  return rests;
}

/// Angle in [from, from + 360).
double turned_into(double angle, double from) {
  return angle - 360.0 * std::floor((angle - from) / 360.0);
}

}  // namespace

SupportResult rest_of_boom(const BoomProblem& p, LineModel& model) {
  if (!is_valid_boom(p)) return {};
  const auto place = [&](double deg) {
    return p.post + p.radius_mm * Vec3(std::cos(deg * k_degree), std::sin(deg * k_degree), 0.0);
  };
  const BalanceAt balance = [&](double deg) {
    const Vec3 tangent(-std::sin(deg * k_degree), std::cos(deg * k_degree), 0.0);
    const std::vector<SpanState> spans = solve_spans(model, place(deg), p.spans);
    return Balance{force_along(spans, tangent) * p.radius_mm, p.friction_Nmm, energy_of(spans)};
  };
  const SupportAtCoordinate at = [&](double deg) {
    SupportAt a{deg, place(deg), solve_spans(model, place(deg), p.spans), Vec3(0.0)};
    for (const SpanState& s : a.spans) a.load_N += s.force_N;
    return a;
  };

  // A full turn starts opposite to the rest that is expected, away from any stable one.
  Vec3 middle(0.0);
  for (const SupportSpan& s : p.spans) middle += s.anchor - p.post;
  const double opposite = std::atan2(-middle.y, -middle.x) / k_degree;
  const bool full = p.upper_deg - p.lower_deg >= 360.0;
  const double from = full ? turned_into(opposite, p.lower_deg) : p.lower_deg;
  const RestSearch range{from, full ? from + 360.0 : p.upper_deg, false, !full, k_steps};
  const double towards = turned_into(opposite + 180.0, from);
  // One span: the moment changes sign at the direction of the anchor and opposite to it only.
  const bool one = model.is_convex() && p.spans.size() == 1 && std::hypot(middle.x, middle.y) > 0.0;
  Rests rests;
  if (one && full) rests.stable = {towards};
  if (one && !full) rests = rests_of_one(balance, p.lower_deg, p.upper_deg, towards);
  if (!one) rests = stable_rests(balance, range);
  SupportResult result = settle(balance, at, range, least_energy_first(balance, std::move(rests)));
  if (!result.has_shape()) return result;
  const double q = result.rest.coordinate;
  if (!full && (q == p.lower_deg || q == p.upper_deg)) {
    Rests circle;
    if (one) circle.stable = {towards};
    if (!one) {
      circle = stable_rests(balance, {opposite, opposite + 360.0, false, false, k_steps});
    }
    if (circle.failed || circle.stable.empty()) return result;
    // The way the line pulls, to the first place where it would come to rest.
    const bool down = balance(q).force < 0.0;
    double beyond = 360.0;
    for (const double stable : circle.stable) {
      if (std::abs(std::remainder(stable - q, 360.0)) < k_same_deg) beyond = 0.0;
      beyond =
          std::min(beyond, down ? q - turned_into(stable, q - 360.0) : turned_into(stable, q) - q);
    }
    result.outside_by = beyond;
    if (beyond > 0.0) result.status = SupportStatus::at_stop;
  }
  result.unique = one && result.others.empty();
  return result;
}

}  // namespace bight::free
