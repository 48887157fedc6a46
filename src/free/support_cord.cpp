#include "free/support_cord.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/tolerance.h"

namespace bight::free {
namespace {

constexpr int k_most_iterations = 200;
constexpr double k_residual = 1e-9;  // of the lines' weight and the cord's pull

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

/// Second derivatives by central differences of the forces.
Mat3 hessian(const CordProblem& p, LineModel& model, const Vec3& place, double step) {
  Mat3 h(0.0);
  for (int i = 0; i < 3; ++i) {
    Vec3 e(0.0);
    e[i] = step;
    const Hold up = hold_at(p, model, place + e);
    const Hold down = hold_at(p, model, place - e);
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
  Vec3 place(0.0);
  Hold here;
  for (const double share : {0.9, 0.99, 0.999, 0.999999}) {
    place = slack_place(p, share);
    here = hold_at(p, model, place);
    if (here.hangs()) break;
  }
  CordResult failed;
  failed.status = SupportStatus::not_converged;
  if (!here.hangs()) {
    const bool reaches = std::none_of(here.spans.begin(), here.spans.end(), [](const SpanState& s) {
      return s.status == SpanStatus::too_short;
    });
    if (!reaches) failed.status = SupportStatus::out_of_reach;
    return failed;
  }
  const double weight = total_weight(p);
  int iterations = 0;
  bool moved = true;
  const auto residual = [&] {
    return glm::length(here.gradient) / (weight + glm::length(here.cord));
  };
  while (moved && residual() > k_residual && iterations++ < k_most_iterations) {
    // Small against the slack of the tautest line, so that the differences stay where lines hang.
    double slack = std::numeric_limits<double>::infinity();
    for (const SupportSpan& s : p.spans) {
      slack = std::min(slack, s.length_mm - glm::distance(s.anchor, place));
    }
    const Mat3 h = hessian(p, model, place, std::min(1e-3, 1e-3 * slack));
    const Vec3 step = downhill(h, here.gradient);
    moved = false;
    for (double t = 1.0; t > 1e-12 && !moved; t *= 0.5) {
      Hold next = hold_at(p, model, place + t * step);
      const double wanted = here.energy + 1e-4 * t * glm::dot(step, here.gradient);
      const double rounding = 1e-13 * std::abs(here.energy);
      const bool lower = next.energy <= wanted;
      const bool level = next.energy <= here.energy + rounding &&
                         glm::length(next.gradient) < glm::length(here.gradient);
      if (!next.hangs() || !(lower || level)) continue;
      place += t * step;
      here = std::move(next);
      moved = true;
    }
  }
  const bool converged = residual() <= 1e3 * k_residual;
  CordResult r = result_of(p, here, place, model.is_convex());
  r.iterations = iterations;
  r.status = converged ? SupportStatus::rests : SupportStatus::not_converged;
  return r;
}

}  // namespace bight::free
