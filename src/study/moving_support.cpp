#include "study/moving_support.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>

#include "base/tolerance.h"
#include "free/support_boom.h"
#include "free/support_cord.h"
#include "free/support_pulley.h"
#include "free/support_trolley.h"

namespace bight::study {
namespace {

using plan::SupportKind;

constexpr double k_degree = std::numbers::pi / 180.0;
constexpr double k_far_mm = 1e5;     // of a plan's positions
constexpr double k_residual = 1e-7;  // of the weight of the lines
constexpr int k_most_iterations = 120;

Vec3 other_end(const HungSpan& span, const free::Pose& pose) {
  return span.support_at_start ? free::end_at(span.anchors, pose)
                               : free::start_at(span.anchors, pose);
}

std::vector<free::SupportSpan> limp_spans(const std::vector<HungSpan>& spans,
                                          const free::Pose& pose) {
  std::vector<free::SupportSpan> limp;
  limp.reserve(spans.size());
  for (const HungSpan& s : spans) {
    limp.push_back({other_end(s, pose), s.rod.length_mm, s.rod.mass_kg_m, {}});
  }
  return limp;
}

const free::SupportAt& chosen(const free::SupportResult& result, Slip slip) {
  return slip == Slip::low ? result.low : slip == Slip::high ? result.high : result.rest;
}

SupportState state_of(const free::SupportResult& result, Slip slip, const Vec3& place) {
  SupportState s;
  s.status = result.status;
  s.short_by_mm = result.short_by_mm;
  if (!result.has_shape()) return s;
  const free::SupportAt& at = chosen(result, slip);
  s.coordinate = at.coordinate;
  s.shift = at.place - place;
  s.load_N = at.load_N;
  s.outside_by = result.outside_by;
  return s;
}

/// The lines of a support as rods, wherever the support is put.
class StiffSpans {
 public:
  StiffSpans(const std::vector<HungSpan>& spans, const free::Pose& pose)
      : spans_(spans), pose_(pose) {
    const std::size_t joints = pose.size();
    pose_.resize(joints + 3, 0.0);
    for (const HungSpan& s : spans) {
      free::AnchorPair anchors = s.anchors;
      for (int k = 0; k < 3; ++k) {
        free::JointMotion free{Vec3(0.0), Vec3(0.0), -k_far_mm, k_far_mm};
        (s.support_at_start ? free.start : free.end)[k] = 1.0;
        anchors.joints.push_back(free);
      }
      (s.support_at_start ? anchors.start_direction : anchors.end_direction).reset();
      rods_.emplace_back(std::move(anchors), s.rod, pose_);
      weight_N_ += s.rod.length_mm * s.rod.mass_kg_m * k_gravity / 1000.0;
    }
    shapes_.resize(rods_.size());
  }

  /// False when a line has no shape there. `length_mm` > 0: of the first line; the second one has
  /// the rest of its own.
  bool solve(const Vec3& shift, double length_mm = 0.0) {
    for (int k = 0; k < 3; ++k) pose_[pose_.size() - 3 + static_cast<std::size_t>(k)] = shift[k];
    for (std::size_t i = 0; i < rods_.size(); ++i) {
      if (length_mm > 0.0) {
        HangingRod rod = spans_[i].rod;
        rod.length_mm = i == 0 ? length_mm : rod.length_mm - length_mm;
        if (!(rod.length_mm > 0.0)) return false;
        rods_[i] = rods_[i].changed(rod);
      }
      shapes_[i] = rods_[i].solve_near(shapes_[i], pose_);
      if (!shapes_[i].converged()) return false;
    }
    return true;
  }

  /// Of line i on the support.
  Vec3 force(std::size_t i) const {
    return spans_[i].support_at_start ? -shapes_[i].start_force_N : -shapes_[i].end_force_N;
  }
  Vec3 force() const {
    Vec3 sum(0.0);
    for (std::size_t i = 0; i < shapes_.size(); ++i) sum += force(i);
    return sum;
  }
  /// Unit tangent with which line i leaves the support.
  Vec3 leaving(std::size_t i) const {
    const std::vector<Vec3>& p = shapes_[i].points;
    return spans_[i].support_at_start ? glm::normalize(p[1] - p[0])
                                      : glm::normalize(p[p.size() - 2] - p.back());
  }
  double pull(std::size_t i) const { return glm::dot(force(i), leaving(i)); }
  double weight_N() const { return weight_N_; }

 private:
  const std::vector<HungSpan>& spans_;
  free::Pose pose_;
  std::vector<FreeRunRod> rods_;
  std::vector<RodShape> shapes_;
  double weight_N_ = 0.0;
};

/// Along a coordinate: force towards larger values, what friction holds, and the load.
struct AlongForce {
  double force = 0.0;
  double friction = 0.0;
  Vec3 shift{0.0};
  double length_mm = 0.0;
  Vec3 load_N{0.0};
};

/// The greater pull over a pulley is at most exp(mu theta) x the lesser (Euler, Eytelwein).
double capstan(double a, double b, const Vec3& leaving, const Vec3& other, double friction) {
  const double between = std::acos(std::clamp(glm::dot(leaving, other), -1.0, 1.0));
  return std::max(0.0, std::min(a, b)) * std::expm1(friction * (std::numbers::pi - between));
}

std::optional<AlongForce> along_force(const plan::Support& s, StiffSpans& spans, double line_mm,
                                      double q) {
  AlongForce f;
  const Vec3 down(0.0, 0.0, -1.0);
  switch (s.kind) {
    case SupportKind::trolley: {
      const Vec3 along = *s.track;
      f.shift = q * along;
      if (!spans.solve(f.shift)) return {};
      f.load_N = spans.force() + s.trolley_mass * k_gravity * down;
      f.force = glm::dot(f.load_N, along);
      f.friction = s.friction * glm::length(f.load_N - f.force * along);
      return f;
    }
    case SupportKind::boom: {
      const double c = std::cos(q * k_degree);
      const double si = std::sin(q * k_degree);
      f.shift = s.arm * Vec3(c, si, 0.0);
      if (!spans.solve(f.shift)) return {};
      f.load_N = spans.force();
      f.force = glm::dot(f.load_N, Vec3(-si, c, 0.0));
      f.friction = s.friction_moment * 1000.0 / s.arm;
      return f;
    }
    case SupportKind::pulley: {
      f.length_mm = q;
      if (!spans.solve(Vec3(0.0), q)) return {};
      const double pull = spans.pull(0);
      if (s.tie_off) {
        f.force = pull - spans.pull(1);
        f.friction = capstan(pull, spans.pull(1), spans.leaving(0), spans.leaving(1), s.friction);
        f.load_N = spans.force();
        return f;
      }
      const double w = spans.weight_N() / line_mm;
      const double tail = *s.weight * k_gravity + w * (line_mm - q);
      f.force = pull - tail;
      f.friction = capstan(pull, tail, spans.leaving(0), down, s.friction);
      f.load_N = spans.force() + tail * down;
      return f;
    }
    case SupportKind::retractor:
      f.length_mm = q;
      if (!spans.solve(Vec3(0.0), q)) return {};
      f.force = spans.pull(0) - s.pull;
      f.friction = s.friction_pull;
      f.load_N = spans.force();
      return f;
    case SupportKind::hook:
    case SupportKind::cord:
    case SupportKind::festoon:
      break;
  }
  return {};
}

}  // namespace

const char* to_text(SupportKind kind) {
  switch (kind) {
    case SupportKind::hook:
      break;
    case SupportKind::pulley:
      return "pulley";
    case SupportKind::trolley:
      return "trolley";
    case SupportKind::boom:
      return "boom";
    case SupportKind::retractor:
      return "retractor";
    case SupportKind::cord:
      return "cord";
    case SupportKind::festoon:
      return "festoon";
  }
  return "hook";
}

MovingSupport::MovingSupport(plan::Support support, std::vector<Vec3> motion,
                             std::vector<HungSpan> spans)
    : support_(std::move(support)), motion_(std::move(motion)), spans_(std::move(spans)) {}

Vec3 MovingSupport::place(const free::Pose& pose) const {
  Vec3 at = support_.at;
  for (std::size_t j = 0; j < motion_.size(); ++j) at += pose[j] * motion_[j];
  return at;
}

double MovingSupport::whole_line() const {
  return spans_.front().rod.length_mm;
}

bool MovingSupport::shaped_by(std::size_t joint) const {
  return std::any_of(spans_.begin(), spans_.end(), [&](const HungSpan& s) {
    const free::JointMotion& j = s.anchors.joints[joint];
    return (s.support_at_start ? j.end : j.start) != motion_[joint];
  });
}

bool MovingSupport::has_friction() const {
  return support_.friction > 0.0 || support_.friction_moment > 0.0 || support_.friction_pull > 0.0;
}

std::optional<std::array<double, 2>> MovingSupport::range() const {
  switch (support_.kind) {
    case SupportKind::trolley:
      return support_.range;
    case SupportKind::boom:
      if (support_.swing[1] - support_.swing[0] >= 360.0) return {};
      return support_.swing;
    case SupportKind::retractor:
      return support_.paid_out;
    case SupportKind::pulley:
      if (!support_.weight) return {};
      return std::array{whole_line() - support_.drop[1], whole_line() - support_.drop[0]};
    case SupportKind::cord:
      if (!support_.max_stretch) return {};
      return std::array{0.0, *support_.max_stretch};
    case SupportKind::hook:
    case SupportKind::festoon:
      break;
  }
  return {};
}

std::vector<free::JointMotion> MovingSupport::reach(bool support_at_start) const {
  std::vector<free::JointMotion> joints;
  const auto add = [&](const Vec3& direction, double lower, double upper) {
    free::JointMotion j{Vec3(0.0), Vec3(0.0), lower, upper};
    (support_at_start ? j.start : j.end) = direction;
    joints.push_back(j);
  };
  double radius = 0.0;
  if (support_.kind == SupportKind::trolley) {
    add(*support_.track, support_.range[0], support_.range[1]);
  } else if (support_.kind == SupportKind::boom) {
    radius = support_.arm;
  } else if (support_.kind == SupportKind::cord) {
    // Without a limit: as far as the farthest line end lets it, within the bounds of a plan.
    radius = support_.max_stretch ? support_.cord_length + *support_.max_stretch : k_far_mm;
  }
  if (radius > 0.0) {
    add({1.0, 0.0, 0.0}, -radius, radius);
    add({0.0, 1.0, 0.0}, -radius, radius);
    if (support_.kind == SupportKind::cord) add({0.0, 0.0, 1.0}, -radius, radius);
  }
  return joints;
}

SupportState MovingSupport::limp_at(const free::Pose& pose, Slip slip) const {
  const auto model = free::limp_line();
  const Vec3 here = place(pose);
  const std::vector<free::SupportSpan> spans = limp_spans(spans_, pose);
  const plan::Support& s = support_;
  SupportState state;
  switch (s.kind) {
    case SupportKind::trolley:
      return state_of(
          free::rest_of_trolley(
              {here, *s.track, s.range[0], s.range[1], s.trolley_mass, s.friction, spans}, *model),
          slip, here);
    case SupportKind::boom:
      return state_of(
          free::rest_of_boom(
              {here, s.arm, s.swing[0], s.swing[1], s.friction_moment * 1000.0, spans}, *model),
          slip, here);
    case SupportKind::pulley: {
      const Vec3 tie = s.tie_off.value_or(Vec3(0.0)) + (here - s.at);
      state = state_of(s.tie_off
                           ? free::rest_of_pulley(free::TiedPulleyProblem{here, spans.front(), tie,
                                                                          whole_line(), s.friction},
                                                  *model)
                           : free::rest_of_pulley(
                                 free::WeightedPulleyProblem{
                                     here, spans.front(), whole_line(), *s.weight, s.drop[0],
                                     std::min(s.drop[1], 0.999 * whole_line()), s.friction},
                                 *model),
                       slip, here);
      state.length_mm = state.coordinate;
      return state;
    }
    case SupportKind::retractor:
      state = state_of(
          free::rest_of_retractor(
              {here, spans.front(), s.pull, s.friction_pull, s.paid_out[0], s.paid_out[1]}, *model),
          slip, here);
      state.length_mm = state.coordinate;
      return state;
    case SupportKind::cord: {
      const free::CordResult r = free::rest_of_cord(
          {here, s.cord_length, s.cord_stiffness / 1000.0, s.max_stretch.value_or(0.0), spans},
          *model);
      state.status = r.status;
      if (r.status != free::SupportStatus::rests) return state;
      state.coordinate = r.stretch_mm;
      state.shift = r.hold - here;
      state.load_N = r.load_N;
      state.outside_by = r.outside_by_mm;
      if (r.outside_by_mm > 0.0) state.status = free::SupportStatus::at_stop;
      return state;
    }
    case SupportKind::hook:
    case SupportKind::festoon:
      break;
  }
  return state;
}

/// Root of the force (less or plus what friction holds) by secants from the rest of limp lines.
SupportState MovingSupport::refined_along(const free::Pose& pose, Slip slip,
                                          SupportState state) const {
  std::vector<HungSpan> all = spans_;
  if (support_.tie_off) {  // the other side of the pulley is a line of its own
    HungSpan beyond = spans_.front();
    beyond.support_at_start = true;
    beyond.anchors.start = support_.at;
    beyond.anchors.end = *support_.tie_off;
    beyond.anchors.start_direction.reset();
    beyond.anchors.end_direction.reset();
    for (std::size_t j = 0; j < motion_.size(); ++j) {
      beyond.anchors.joints[j].start = beyond.anchors.joints[j].end = motion_[j];
    }
    all.push_back(std::move(beyond));
  }
  StiffSpans spans(all, pose);
  const double side = slip == Slip::low ? -1.0 : slip == Slip::high ? 1.0 : 0.0;
  const auto at = [&](double q) { return along_force(support_, spans, whole_line(), q); };
  const auto out_of_balance = [&](const AlongForce& f) { return f.force + side * f.friction; };
  const bool tied = support_.tie_off.has_value();
  const auto limits = range().value_or(
      tied ? std::array{1e-6 * whole_line(), (1.0 - 1e-6) * whole_line()} : std::array{-1e9, 1e9});
  // Lines of a given length that do not reach say nothing about the way back; of a run whose length
  // is the coordinate they say that it pulls without limit.
  const bool is_length = state.length_mm > 0.0;
  const double chord =
      is_length ? glm::distance(place(pose), other_end(spans_.front(), pose)) : 0.0;
  double q = state.coordinate;
  std::optional<AlongForce> here = at(q);
  if (!here && is_length) {
    q = std::clamp(std::max(q, chord) * (1.0 + 1e-7), limits[0], limits[1]);
    here = at(q);
  }
  if (!here) {
    state.status = free::SupportStatus::not_converged;
    return state;
  }
  const double unit = support_.kind == SupportKind::boom ? 0.1 : 1.0;
  const double enough = k_residual * std::max({spans.weight_N(), glm::length(here->load_N), 1e-6});
  // The force falls through the rest: `below` pushes up, `above` down.
  struct Bound {
    double q = 0.0;
    double force = 0.0;
  };
  std::optional<Bound> below;
  std::optional<Bound> above;
  double step = 0.01 * unit;
  double slope = 0.0;
  for (int i = 0; i < k_most_iterations; ++i) {
    const double g = out_of_balance(*here);
    if (std::abs(g) <= enough) break;
    (g > 0.0 ? below : above) = Bound{q, g};
    double next = 0.0;
    if (below && above) {
      if (above->q - below->q <= 1e-13 * std::max(1.0, std::abs(q))) break;
      const bool finite = std::isfinite(below->force);
      slope = finite ? (above->force - below->force) / (above->q - below->q) : 0.0;
      // False position, and a bisection now and then, which a one-sided approach needs.
      const bool bisect = !finite || i % 3 == 2;
      next = bisect ? 0.5 * (below->q + above->q) : below->q - below->force / slope;
    } else {
      next = std::clamp(q + std::copysign(step, g), limits[0], limits[1]);
      step *= 3.0;
      if (next == q) break;  // at a stop
    }
    std::optional<AlongForce> there = at(next);
    for (int k = 0; k < 60 && !there; ++k) {
      if (is_length && next < q) below = Bound{next, std::numeric_limits<double>::infinity()};
      next = 0.5 * (q + next);
      there = at(next);
    }
    if (!there) break;
    q = next;
    here = there;
  }
  const double g = out_of_balance(*here);
  const bool at_low = q <= limits[0] && g < 0.0;
  const bool at_high = q >= limits[1] && g > 0.0;
  // Between the two there is nothing: a line that does not reach and one that hangs, or one that
  // bows to this side and to the other.
  state.jumps = below && above && above->q - below->q <= 1e-9 * std::max(1.0, std::abs(q)) &&
                std::abs(g) > enough;
  if (!(std::abs(g) <= enough || at_low || at_high || state.jumps)) {
    state.status = free::SupportStatus::not_converged;
    return state;
  }
  if (slip == Slip::rest) {
    const bool was_at_stop = state.status != free::SupportStatus::rests;
    if (!(at_low || at_high)) {
      state.status = free::SupportStatus::rests;
      state.outside_by = 0.0;
    } else if (!was_at_stop) {
      state.status = free::SupportStatus::at_stop;
      state.outside_by = slope < 0.0 ? std::abs(g / slope) : 0.0;
    }
  }
  state.coordinate = q;
  state.shift = here->shift;
  state.length_mm = here->length_mm;
  state.load_N = here->load_N;
  state.residual_N = at_low || at_high || state.jumps ? 0.0 : std::abs(g);
  return state;
}

/// Newton's method for the place of a cord's lower end.
SupportState MovingSupport::refined_in_space(const free::Pose& pose, SupportState state) const {
  StiffSpans spans(spans_, pose);
  const double k = support_.cord_stiffness / 1000.0;
  const auto cord = [&](const Vec3& d) {
    const double r = glm::length(d);
    return r > support_.cord_length ? (k * (r - support_.cord_length) / r) * d : Vec3(0.0);
  };
  const auto unbalanced = [&](const Vec3& shift) -> std::optional<Vec3> {
    if (!spans.solve(shift)) return {};
    return spans.force() - cord(shift);
  };
  const double enough = k_residual * std::max(spans.weight_N(), 1e-6);
  Vec3 x = state.shift;
  std::optional<Vec3> r = unbalanced(x);
  bool moved = r.has_value();
  for (int i = 0; i < k_most_iterations && moved && glm::length(*r) > enough; ++i) {
    Mat3 slope(0.0);
    moved = false;
    bool known = true;
    constexpr double k_h = 0.01;
    for (int a = 0; a < 3; ++a) {
      Vec3 e(0.0);
      e[a] = k_h;
      const auto up = unbalanced(x + e);
      const auto down = unbalanced(x - e);
      known = known && up && down;
      if (known) slope[a] = (*up - *down) / (2.0 * k_h);
    }
    if (!known || glm::determinant(slope) == 0.0) break;
    const Vec3 step = -(glm::inverse(slope) * *r);
    if (!is_finite(step)) break;
    for (double t = 1.0; t > 1e-6 && !moved; t *= 0.5) {
      const auto next = unbalanced(x + t * step);
      if (!next || !(glm::length(*next) < glm::length(*r))) continue;
      x += t * step;
      r = next;
      moved = true;
    }
  }
  if (!r || !(glm::length(*r) <= 100.0 * enough)) {
    state.status = free::SupportStatus::not_converged;
    return state;
  }
  spans.solve(x);
  state.shift = x;
  state.coordinate = std::max(0.0, glm::length(x) - support_.cord_length);
  state.load_N = cord(x);
  state.residual_N = glm::length(*r);
  state.outside_by =
      support_.max_stretch ? std::max(0.0, state.coordinate - *support_.max_stretch) : 0.0;
  state.status = state.outside_by > 0.0 ? free::SupportStatus::at_stop : free::SupportStatus::rests;
  return state;
}

SupportState MovingSupport::solve(const free::Pose& pose, Slip slip) const {
  const SupportState limp = limp_at(pose, slip);
  if (!limp.has_shape()) return limp;
  return support_.kind == SupportKind::cord ? refined_in_space(pose, limp)
                                            : refined_along(pose, slip, limp);
}

SupportState MovingSupport::at(const free::Pose& pose, Slip slip) const {
  const auto key = std::make_pair(pose, slip);
  {
    const std::scoped_lock lock(mutex_);
    const auto found = known_.find(key);
    if (found != known_.end()) return found->second;
  }
  const SupportState state = solve(pose, slip);
  const std::scoped_lock lock(mutex_);
  known_.emplace(key, state);
  return state;
}

}  // namespace bight::study
