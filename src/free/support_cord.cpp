#include "free/support_cord.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/tolerance.h"

namespace bight::free {
namespace {

constexpr int k_most_iterations = 40;  // of one search
constexpr double k_residual = 1e-9;    // of the lines' weight and the cord's pull
constexpr double k_residual_at_worst = 1e-6;

bool is_valid_cord(const CordProblem& p) {
  return is_finite(p.hook) && p.free_length_mm >= 0.0 && std::isfinite(p.free_length_mm) &&
         p.stiffness_N_mm > 0.0 && std::isfinite(p.stiffness_N_mm) &&
         p.greatest_stretch_mm >= 0.0 && is_valid(p.spans);
}

double total_weight(const CordProblem& p) {
  double weight = 0.0;
  for (const SupportSpan& s : p.spans) weight += s.mass_kg_m * s.length_mm * k_gravity / 1000.0;
  return weight;
}

/// Energy and its gradient with the hold at one place; infinite where a line is too short.
struct Hold {
  double energy = std::numeric_limits<double>::infinity();
  Vec3 gradient{0.0};
  Vec3 cord{0.0};  ///< force of the cord on the hook
  double stretch = 0.0;
  std::vector<SpanState> spans;
  bool hangs() const { return std::isfinite(energy); }
};

Hold hold_at(const CordProblem& p, LineModel& model, const Vec3& place) {
  Hold h;
  h.spans = solve_spans(model, place, p.spans);
  const Vec3 d = place - p.hook;
  const double r = glm::length(d);
  h.stretch = std::max(0.0, r - p.free_length_mm);
  h.energy = energy_of(h.spans) + 0.5 * p.stiffness_N_mm * h.stretch * h.stretch;
  if (h.stretch > 0.0) h.cord = (p.stiffness_N_mm * h.stretch / r) * d;
  h.gradient = h.cord;
  for (const SpanState& s : h.spans) h.gradient -= s.force_N;
  return h;
}

/// Least slack of a line.
double least_slack(const CordProblem& p, const Vec3& place) {
  double slack = std::numeric_limits<double>::infinity();
  for (const SupportSpan& s : p.spans) {
    slack = std::min(slack, s.length_mm - glm::distance(s.anchor, place));
  }
  return slack;
}

/// mu x the sum of -log(slack): keeps a search away from where a line is taut.
void add_barrier(const CordProblem& p, const Vec3& place, double mu, Hold& h) {
  if (!(mu > 0.0) || !h.hangs()) return;
  for (const SupportSpan& s : p.spans) {
    const Vec3 d = place - s.anchor;
    const double r = std::max(glm::length(d), 1e-9);
    const double slack = s.length_mm - r;
    h.energy -= mu * std::log(slack);
    h.gradient += (mu / (slack * r)) * d;
  }
}

/// Nearest place to the hook from which all lines hang with some slack, by projecting onto the
/// balls around the anchors in turn (von Neumann 1933; Bregman 1965).
Vec3 slack_place(const CordProblem& p, double share) {
  Vec3 place = p.hook;
  for (int i = 0; i < 1000; ++i) {
    for (const SupportSpan& s : p.spans) {
      const Vec3 d = place - s.anchor;
      const double r = glm::length(d);
      const double most = share * s.length_mm;
      if (r > most) place = s.anchor + (most / r) * d;
    }
  }
  return place;
}

/// A place that was come to, and how.
struct Found {
  Vec3 place{0.0};
  Hold here;
  int iterations = 0;
  double residual(const CordProblem& p) const {
    return glm::length(here.gradient) / (total_weight(p) + glm::length(here.cord));
  }
};

/// How much the two lines that lack most together are too short to meet.
double short_by(const CordProblem& p) {
  double most = 0.0;
  for (const SupportSpan& a : p.spans) {
    for (const SupportSpan& b : p.spans) {
      if (&a == &b) continue;
      most = std::max(most, glm::distance(a.anchor, b.anchor) - a.length_mm - b.length_mm);
    }
  }
  return most;
}

/// A place from which all lines hang, as near to the hook as leaves them slack; else not hanging.
Found first_place(const CordProblem& p, LineModel& model) {
  Found f;
  for (const double share : {0.9, 0.99, 0.999, 0.999999}) {
    f.place = slack_place(p, share);
    f.here = hold_at(p, model, f.place);
    if (f.here.hangs()) return f;
  }
  if (p.spans.size() == 2) {  // two that hardly reach each other meet on their straight way
    const SupportSpan& a = p.spans[0];
    const SupportSpan& b = p.spans[1];
    f.place = glm::mix(a.anchor, b.anchor, a.length_mm / (a.length_mm + b.length_mm));
    f.here = hold_at(p, model, f.place);
  }
  return f;
}

/// Second derivatives by central differences of the forces, in steps that are small against the
/// slack, so that they stay where lines hang.
Mat3 hessian(const CordProblem& p, LineModel& model, const Vec3& place, double mu) {
  const double step = std::min(1e-3, 1e-3 * least_slack(p, place));
  Mat3 h(0.0);
  for (int i = 0; i < 3; ++i) {
    Vec3 e(0.0);
    e[i] = step;
    Hold up = hold_at(p, model, place + e);
    Hold down = hold_at(p, model, place - e);
    add_barrier(p, place + e, mu, up);
    add_barrier(p, place - e, mu, down);
    h[i] = (up.gradient - down.gradient) / (2.0 * step);
  }
  return 0.5 * (h + glm::transpose(h));
}

/// Newton's step, with as much of the gradient as makes it one downhill.
Vec3 downhill(const Mat3& h, const Vec3& gradient) {
  double shift = 0.0;
  const double size = std::abs(h[0][0]) + std::abs(h[1][1]) + std::abs(h[2][2]) + 1e-12;
  for (int i = 0; i < 60; ++i) {
    const Mat3 shifted = h + Mat3(shift);
    const bool definite = shifted[0][0] > 0.0 &&
                          shifted[0][0] * shifted[1][1] > shifted[0][1] * shifted[1][0] &&
                          glm::determinant(shifted) > 0.0;  // Sylvester's criterion
    if (definite) {
      const Vec3 step = -(glm::inverse(shifted) * gradient);
      if (is_finite(step) && glm::dot(step, gradient) < 0.0) return step;
    }
    shift = shift == 0.0 ? 1e-9 * size : 4.0 * shift;
  }
  return -gradient / size;
}

/// Newton's method with a line search from a place where all lines hang, with a barrier of mu.
Found descend(const CordProblem& p, LineModel& model, const Vec3& from, double mu,
              int most_iterations) {
  Found f{from, hold_at(p, model, from)};
  add_barrier(p, f.place, mu, f.here);
  bool moved = true;
  while (moved && f.residual(p) > k_residual && f.iterations++ < most_iterations) {
    const Vec3 step = downhill(hessian(p, model, f.place, mu), f.here.gradient);
    moved = false;
    for (double t = 1.0; t > 1e-12 && !moved; t *= 0.5) {
      Hold next = hold_at(p, model, f.place + t * step);
      add_barrier(p, f.place + t * step, mu, next);
      const double wanted = f.here.energy + 1e-4 * t * glm::dot(step, f.here.gradient);
      const double rounding = 1e-13 * std::abs(f.here.energy);
      const bool lower = next.energy <= wanted;
      const bool level = next.energy <= f.here.energy + rounding &&
                         glm::length(next.gradient) < glm::length(f.here.gradient);
      if (!next.hangs() || !(lower || level)) continue;
      f.place += t * step;
      f.here = std::move(next);
      moved = true;
    }
  }
  return f;
}

/// Where a line comes to rest almost taut the energy ends in a wall without a slope before it, and
/// steps end on the wall. A barrier leads there, ever lower (Fiacco and McCormick, Nonlinear
/// Programming, 1968).
Found descend_by_barriers(const CordProblem& p, LineModel& model, const Vec3& from) {
  constexpr int k_most_barriers = 14;
  constexpr int k_most_without = 15;  // from near the rest
  constexpr double k_lower = 0.1;
  Found found{from, hold_at(p, model, from)};
  // At first as strong as the other forces where a line has this much slack.
  constexpr double k_slack_mm = 100.0;
  double mu = (total_weight(p) + glm::length(found.here.cord)) * k_slack_mm;
  int iterations = 0;
  Vec3 place = from;
  for (int i = 0; i < k_most_barriers; ++i, mu *= k_lower) {
    const Found held = descend(p, model, place, mu, k_most_iterations);
    place = held.place;
    found = descend(p, model, place, 0.0, k_most_without);
    iterations += held.iterations + found.iterations;
    if (found.residual(p) <= k_residual_at_worst) break;
  }
  found.iterations = iterations;
  return found;
}

CordResult result_of(const CordProblem& p, Hold h, const Vec3& place, bool convex) {
  CordResult r;
  r.hold = place;
  r.stretch_mm = h.stretch;
  r.cord_pull_N = p.stiffness_N_mm * h.stretch;
  if (p.greatest_stretch_mm > 0.0) {
    r.outside_by_mm = std::max(0.0, h.stretch - p.greatest_stretch_mm);
  }
  r.load_N = h.cord;
  r.spans = std::move(h.spans);
  r.unique = convex;
  r.residual_N = glm::length(h.gradient);
  return r;
}

}  // namespace

CordResult rest_of_cord(const CordProblem& p, LineModel& model) {
  if (!is_valid_cord(p)) return {};
  const SupportSpan& only = p.spans.front();
  const Vec3 hanging_down = only.anchor - Vec3(0.0, 0.0, only.length_mm);
  if (p.spans.size() == 1 && glm::distance(hanging_down, p.hook) <= p.free_length_mm) {
    CordResult r;  // the cord is slack: the line hangs straight down from its anchor
    r.status = SupportStatus::rests;
    r.hold = hanging_down;
    r.spans = {model.solve(hanging_down, only)};
    r.unique = model.is_convex();
    return r;
  }
  const Found first = first_place(p, model);
  if (!first.here.hangs()) {
    CordResult failed;
    const bool reaches =
        std::none_of(first.here.spans.begin(), first.here.spans.end(),
                     [](const SpanState& s) { return s.status == SpanStatus::too_short; });
    failed.status = reaches ? SupportStatus::not_converged : SupportStatus::out_of_reach;
    failed.short_by_mm = short_by(p);
    return failed;
  }
  Found found = descend(p, model, first.place, 0.0, k_most_iterations);
  if (!(found.residual(p) <= k_residual_at_worst))
    found = descend_by_barriers(p, model, first.place);
  const bool converged = found.residual(p) <= k_residual_at_worst;
  CordResult r = result_of(p, std::move(found.here), found.place, model.is_convex());
  r.iterations = found.iterations;
  r.status = converged ? SupportStatus::rests : SupportStatus::not_converged;
  return r;
}

}  // namespace bight::free
