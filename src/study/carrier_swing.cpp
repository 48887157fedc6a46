#include "study/carrier_swing.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>
#include <variant>

#include "base/check.h"
#include "base/tolerance.h"
#include "study/free_run_shapes.h"
#include "study/hung_rods.h"

namespace bight::study {
namespace {

bool is_of(const HungSpan& span, const FreeRun& run, const std::string& line) {
  return span.run == run.run->name && span.leg == run.leg && span.line == line;
}

Vec3 rate_of(const HungSpan& span, std::size_t joint) {
  const free::JointMotion& j = span.anchors.joints[joint];
  return span.support_at_start ? j.end : j.start;
}

/// The way in which the line leaves its anchor.
std::optional<Vec3> leaving(const HungSpan& span) {
  return span.support_at_start ? span.anchors.end_direction : span.anchors.start_direction;
}

bool lets_line_slide(const plan::Support& support) {
  return support.kind == plan::SupportKind::pulley || support.kind == plan::SupportKind::retractor;
}

/// Of a trolley, boom or cord, its body where `place` is.
std::variant<rod::Track, rod::Arm, rod::Cord, rod::Sheave> way_of(const plan::Support& support,
                                                                  const Vec3& place) {
  if (support.kind == plan::SupportKind::boom) return rod::Arm{place, support.arm};
  if (support.kind == plan::SupportKind::cord) {
    return rod::Cord{place, support.cord_length, support.cord_stiffness};
  }
  return rod::Track{*support.track};
}

/// Of the way of what carries the line, by the support's coordinate.
double mm_per_unit(const plan::Support& support) {
  return support.kind == plan::SupportKind::boom ? support.arm * std::numbers::pi / 180.0 : 1.0;
}

}  // namespace

CarrierSwing::CarrierSwing(const Context& context, const FreeRun& run, const std::string& line)
    : support_(run.support), spans_(all_spans(support_->support(), support_->spans())) {
  const auto watched = std::find_if(spans_.begin(), spans_.end(),
                                    [&](const HungSpan& s) { return is_of(s, run, line); });
  BIGHT_CHECK(watched != spans_.end());
  watched_ = static_cast<std::size_t>(watched - spans_.begin());
  for (std::size_t i = 0; i < spans_.size(); ++i) {
    const HungSpan& span = spans_[i];
    const auto length = [support = support_, span, i](const free::Pose& pose) {
      return length_of(span, i, support->at(pose).length_mm);
    };
    RodHold hold;
    hold.at_start = span.support_at_start;
    hold.at = [support = support_, length](const free::Pose& pose) -> std::optional<RodHold::At> {
      const SupportState state = support->at(pose);
      if (!state.has_shape()) return {};
      return RodHold::At{state.shift, length(pose)};
    };
    rods_.push_back({FreeRunRod(span.anchors, std::move(hold), span.rod, home_pose(context)),
                     span.rod, span.support_at_start, leaving(span), length});
  }
}

bool CarrierSwing::moved_by(std::size_t joint) const {
  return support_->motion()[joint] != Vec3(0.0) ||
         std::any_of(spans_.begin(), spans_.end(),
                     [&](const HungSpan& s) { return rate_of(s, joint) != Vec3(0.0); });
}

Vec3 CarrierSwing::place(const free::Pose& pose) const {
  Vec3 place = support_->support().at;
  for (std::size_t j = 0; j < pose.size(); ++j) place += pose[j] * support_->motion()[j];
  return place;
}

std::optional<rod::SwingStart> CarrierSwing::between(const free::Pose& before,
                                                     const free::Pose& after, std::size_t joint,
                                                     double sense) const {
  const std::optional<SwingRests> rests = swing_rests(rods_, before, after, joint);
  if (!rests) return {};
  const plan::Support& support = support_->support();
  rod::SwingStart start;
  for (std::size_t i = 0; i < rods_.size(); ++i) {
    rod::SwingLine line = swing_line(rods_[i], *rests, i, after);
    line.line.end_carrier = 0;
    line.rates.start = sense * rate_of(spans_[i], joint);
    line.watched = i == watched_;
    start.lines.push_back(std::move(line));
  }
  rod::SwingCarrier carrier;
  carrier.carrier.at = rests->after.front().back();
  carrier.before = rests->before.front().back();
  carrier.rate = sense * support_->motion()[joint];
  if (lets_line_slide(support)) {
    const double length = rods_.front().length_mm(after);
    carrier.carrier.way = sheave(length, rods_.front().length_mm(before) - length);
    carrier.carrier.mass_kg = tail_kg(length);
  } else {
    carrier.carrier.way = way_of(support, place(after));
    carrier.carrier.mass_kg = support.trolley_mass;
  }
  start.carriers.push_back(carrier);
  return start;
}

/// What moves with the line beyond a pulley: its weight, and the line that hangs from there to it.
double CarrierSwing::tail_kg(double length_mm) const {
  const plan::Support& support = support_->support();
  if (!support.weight) return 0.0;
  const HangingRod& line = spans_.front().rod;
  return *support.weight + line.mass_kg_m * (line.length_mm - length_mm) / 1000.0;
}

/// Of a reel, or of a pulley, with `length_mm` of line before it and `slid_mm` more at the start.
rod::Sheave CarrierSwing::sheave(double length_mm, double slid_mm) const {
  const plan::Support& support = support_->support();
  if (support.kind == plan::SupportKind::retractor) return {support.pull, 0.0, slid_mm};
  if (!support.weight) return {0.0, 0.0, slid_mm};
  const double line_N_mm = spans_.front().rod.mass_kg_m * k_gravity / 1000.0;
  return {tail_kg(length_mm) * k_gravity, line_N_mm, slid_mm};
}

double CarrierSwing::period_s(const free::Pose& pose) const {
  const plan::Support& support = support_->support();
  const double at = support_->at(pose).coordinate;
  const HangingRod& line = spans_.front().rod;
  double mass = support.trolley_mass + (lets_line_slide(support) ? tail_kg(at) : 0.0);
  for (const SwingRod& r : rods_) mass += 0.5 * r.line.mass_kg_m * r.length_mm(pose) / 1000.0;
  const auto period = [mass](double stiffness_N_m) {
    return 2.0 * std::numbers::pi * std::sqrt(mass / stiffness_N_m);
  };
  if (support.kind == plan::SupportKind::cord) return period(support.cord_stiffness);
  const SpanForces forces = limp_forces(spans_, pose, place(pose));
  constexpr double k_h = 1.0;  // mm, or degrees of the boom
  const double way_mm = 2.0 * k_h * mm_per_unit(support);
  const auto low = along_force(support, forces, line.length_mm, line.mass_kg_m, at - k_h);
  const auto high = along_force(support, forces, line.length_mm, line.mass_kg_m, at + k_h);
  if (!low || !high || !(low->force > high->force)) return 0.0;
  return period(1000.0 * (low->force - high->force) / way_mm);
}

double CarrierSwing::beyond(const free::Pose& after, const rod::SwingResult& swing) const {
  const auto range = support_->range();
  if (!range) return 0.0;
  const double at = support_->at(after).coordinate;
  const double below = (*range)[0] - (at + swing.carrier_low);
  const double above = at + swing.carrier_high - (*range)[1];
  // A cord that goes slack is not beyond anything.
  const bool slackens = support_->support().kind == plan::SupportKind::cord;
  return std::max({0.0, slackens ? 0.0 : below, above});
}

}  // namespace bight::study
