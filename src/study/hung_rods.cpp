#include "study/hung_rods.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>
#include <utility>

#include "base/tolerance.h"
#include "free/support_span.h"

namespace bight::study {
namespace {

using plan::SupportKind;

constexpr double k_degree = std::numbers::pi / 180.0;

Vec3 sum_of(const std::vector<SpanForce>& forces) {
  Vec3 sum(0.0);
  for (const SpanForce& f : forces) sum += f.force_N;
  return sum;
}

/// Slack of less than 1e-12 of the length is lost among the rounding errors of the ends: whether a
/// rod finds a shape is then chance, and that it finds none takes it long.
bool is_taut(double distance_mm, double length_mm) {
  constexpr double k_least_slack = 1e-12;
  return distance_mm > (1.0 - k_least_slack) * length_mm;
}

/// The greater pull over a pulley is at most exp(mu theta) x the lesser (Euler, Eytelwein).
double capstan(double a, double b, const Vec3& leaving, const Vec3& other, double friction) {
  const double between = std::acos(std::clamp(glm::dot(leaving, other), -1.0, 1.0));
  return std::max(0.0, std::min(a, b)) * std::expm1(friction * (std::numbers::pi - between));
}

}  // namespace

std::vector<HungSpan> all_spans(const plan::Support& support, const std::vector<HungSpan>& spans) {
  std::vector<HungSpan> all = spans;
  if (!support.tie_off) return all;
  HungSpan beyond = spans.front();
  const bool at_start = beyond.support_at_start;
  beyond.support_at_start = true;
  beyond.anchors.start = support.at;
  beyond.anchors.end = *support.tie_off;
  beyond.anchors.start_direction.reset();
  beyond.anchors.end_direction.reset();
  for (free::JointMotion& j : beyond.anchors.joints) j.start = j.end = at_start ? j.start : j.end;
  all.push_back(std::move(beyond));
  return all;
}

double length_of(const HungSpan& span, std::size_t i, double length_mm) {
  if (!(length_mm > 0.0)) return span.rod.length_mm;
  return i == 0 ? length_mm : span.rod.length_mm - length_mm;
}

HungRods::HungRods(std::vector<HungSpan> spans, free::Pose pose)
    : spans_(std::move(spans)), pose_(std::move(pose)), place_(spans_.size()) {
  rods_.reserve(spans_.size());
  for (std::size_t i = 0; i < spans_.size(); ++i) {
    const HungSpan& s = spans_[i];
    RodHold hold;
    hold.at_start = s.support_at_start;
    hold.at = [place = &place_[i]](const free::Pose&) { return std::optional(*place); };
    free::AnchorPair anchors = s.anchors;
    (s.support_at_start ? anchors.start_direction : anchors.end_direction).reset();
    at_rest_.push_back(s.support_at_start ? free::start_at(anchors, pose_)
                                          : free::end_at(anchors, pose_));
    rods_.emplace_back(std::move(anchors), std::move(hold), s.rod, pose_);
    weight_N_ += s.rod.length_mm * s.rod.mass_kg_m * k_gravity / 1000.0;
  }
}

std::vector<SpanForce> HungRods::at(const Vec3& shift, double length_mm) {
  std::vector<SpanForce> forces;
  forces.reserve(rods_.size());
  for (std::size_t i = 0; i < rods_.size(); ++i) {
    place_[i] = {shift, length_of(spans_[i], i, length_mm)};
    const double length = place_[i].length_mm;
    const Vec3 end = other_end(spans_[i], pose_);
    if (!(length > 0.0) || is_taut(glm::distance(at_rest_[i] + shift, end), length)) return {};
    const RodEnds ends = rods_[i].solve_ends(pose_);
    if (!ends.converged()) return {};
    forces.push_back(spans_[i].support_at_start ? SpanForce{-ends.start_force_N, ends.start_tangent}
                                                : SpanForce{-ends.end_force_N, ends.end_tangent});
  }
  return forces;
}

SpanForces limp_forces(const std::vector<HungSpan>& spans, const free::Pose& pose,
                       const Vec3& support) {
  return [&spans, &pose, support](const Vec3& shift, double length_mm) {
    const auto model = free::limp_line();
    std::vector<SpanForce> forces;
    forces.reserve(spans.size());
    for (std::size_t i = 0; i < spans.size(); ++i) {
      const double length = length_of(spans[i], i, length_mm);
      if (!(length > 0.0)) return std::vector<SpanForce>{};
      const free::SpanState s = model->solve(
          support + shift, {other_end(spans[i], pose), length, spans[i].rod.mass_kg_m, {}});
      if (s.status != free::SpanStatus::hangs) return std::vector<SpanForce>{};
      forces.push_back({s.force_N, s.leaving});
    }
    return forces;
  };
}

std::optional<AlongForce> along_force(const plan::Support& s, const SpanForces& forces_at,
                                      double line_mm, double mass_kg_m, double q) {
  AlongForce f;
  const Vec3 down(0.0, 0.0, -1.0);
  const double turned = q * k_degree;
  if (s.kind == SupportKind::trolley) f.shift = q * *s.track;
  if (s.kind == SupportKind::boom) {
    f.shift = s.arm * Vec3(std::cos(turned), std::sin(turned), 0.0);
  }
  const bool over = s.kind == SupportKind::pulley || s.kind == SupportKind::retractor;
  if (over) f.length_mm = q;
  const std::vector<SpanForce> forces = forces_at(f.shift, f.length_mm);
  if (forces.empty()) return {};
  f.load_N = sum_of(forces);
  const double pull = forces[0].pull_N();
  if (s.kind == SupportKind::trolley) {
    f.load_N += s.trolley_mass * k_gravity * down;
    f.force = glm::dot(f.load_N, *s.track);
    f.friction = s.friction * glm::length(f.load_N - f.force * *s.track);
  } else if (s.kind == SupportKind::boom) {
    f.force = glm::dot(f.load_N, Vec3(-std::sin(turned), std::cos(turned), 0.0));
    f.friction = s.friction_moment * 1000.0 / s.arm;
  } else if (s.kind == SupportKind::retractor) {
    f.force = pull - s.pull;
    f.friction = s.friction_pull;
  } else if (s.tie_off) {
    const double other = forces[1].pull_N();
    f.force = pull - other;
    f.friction = capstan(pull, other, forces[0].leaving, forces[1].leaving, s.friction);
  } else {
    const double tail = *s.weight * k_gravity + mass_kg_m * k_gravity / 1000.0 * (line_mm - q);
    f.force = pull - tail;
    f.friction = capstan(pull, tail, forces[0].leaving, down, s.friction);
    f.load_N += tail * down;
  }
  return f;
}

}  // namespace bight::study
