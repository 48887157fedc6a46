#include "study/moving_support.h"

#include <algorithm>
#include <utility>

#include "free/support_boom.h"
#include "free/support_cord.h"
#include "free/support_pulley.h"
#include "free/support_trolley.h"
#include "study/stiff_rest.h"

namespace bight::study {
namespace {

using plan::SupportKind;

constexpr double k_far_mm = 1e5;  // of a plan's positions

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

SupportState state_of(const free::SupportResult& result, Slip slip, SupportKind kind,
                      const Vec3& place) {
  SupportState s;
  s.status = result.status;
  s.short_by_mm = result.short_by_mm;
  if (!result.has_shape()) return s;
  const free::SupportAt& at = chosen(result, slip);
  s.coordinate = at.coordinate;
  s.shift = at.place - place;
  s.load_N = at.load_N;
  s.outside_by = result.outside_by;
  const bool is_length = kind == SupportKind::pulley || kind == SupportKind::retractor;
  if (is_length) s.length_mm = at.coordinate;
  return s;
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

/// Of anything but a cord. The band of friction costs more than the rest.
free::SupportResult MovingSupport::limp_result(const free::Pose& pose, bool with_band) const {
  const auto model = free::limp_line();
  const Vec3 here = place(pose);
  const std::vector<free::SupportSpan> spans = limp_spans(spans_, pose);
  const plan::Support& s = support_;
  const double friction = with_band ? s.friction : 0.0;
  if (s.kind == SupportKind::trolley) {
    return free::rest_of_trolley(
        {here, *s.track, s.range[0], s.range[1], s.trolley_mass, friction, spans}, *model);
  }
  if (s.kind == SupportKind::boom) {
    const double moment_Nmm = with_band ? s.friction_moment * 1000.0 : 0.0;
    return free::rest_of_boom({here, s.arm, s.swing[0], s.swing[1], moment_Nmm, spans}, *model);
  }
  if (s.kind == SupportKind::retractor) {
    const double friction_N = with_band ? s.friction_pull : 0.0;
    return free::rest_of_retractor(
        {here, spans.front(), s.pull, friction_N, s.paid_out[0], s.paid_out[1]}, *model);
  }
  if (s.kind != SupportKind::pulley) return {};
  if (s.tie_off) {
    const Vec3 tie = *s.tie_off + (here - s.at);
    return free::rest_of_pulley(
        free::TiedPulleyProblem{here, spans.front(), tie, whole_line(), friction}, *model);
  }
  const double most_tail = std::min(s.drop[1], 0.999 * whole_line());
  return free::rest_of_pulley(
      free::WeightedPulleyProblem{here, spans.front(), whole_line(), *s.weight, s.drop[0],
                                  most_tail, friction},
      *model);
}

SupportState MovingSupport::limp_cord(const free::Pose& pose) const {
  const Vec3 here = place(pose);
  const auto model = free::limp_line();
  const free::CordResult r =
      free::rest_of_cord({here, support_.cord_length, support_.cord_stiffness / 1000.0,
                          support_.max_stretch.value_or(0.0), limp_spans(spans_, pose)},
                         *model);
  SupportState state;
  state.status = r.status;
  state.short_by_mm = r.short_by_mm;
  if (r.status != free::SupportStatus::rests) return state;
  state.coordinate = r.stretch_mm;
  state.shift = r.hold - here;
  state.load_N = r.load_N;
  state.outside_by = r.outside_by_mm;
  if (r.outside_by_mm > 0.0) state.status = free::SupportStatus::at_stop;
  return state;
}

SupportState MovingSupport::limp_at(const free::Pose& pose, Slip slip) const {
  if (support_.kind == SupportKind::cord) return limp_cord(pose);
  if (slip == Slip::rest || !has_friction()) {
    return state_of(limp_result(pose, false), Slip::rest, support_.kind, place(pose));
  }
  {
    const std::scoped_lock lock(mutex_);
    const auto found = known_bands_.find(pose);
    if (found != known_bands_.end()) {
      return slip == Slip::low ? found->second.low : found->second.high;
    }
  }
  const free::SupportResult result = limp_result(pose, true);
  const LimpBand band{state_of(result, Slip::low, support_.kind, place(pose)),
                      state_of(result, Slip::high, support_.kind, place(pose))};
  const std::scoped_lock lock(mutex_);
  known_bands_.emplace(pose, band);
  return slip == Slip::low ? band.low : band.high;
}

SupportState MovingSupport::solve(const free::Pose& pose, Slip slip) const {
  const SupportState limp = limp_at(pose, slip);
  if (!limp.has_shape()) return limp;
  const StiffProblem stiff{support_, spans_, pose, place(pose), range()};
  return support_.kind == SupportKind::cord ? stiff_rest_in_space(stiff, limp)
                                            : stiff_rest_along(stiff, slip, limp);
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
