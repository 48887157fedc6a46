#include "study/carrier_swing.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>
#include <variant>

#include "base/check.h"
#include "base/tolerance.h"
#include "study/hung_rods.h"

namespace bight::study {
namespace {

// A line's links in motion: few carry the swing as well, but not the tight loops of slack lines.
constexpr std::array<std::size_t, 2> k_links = {16, k_rod_segments};
static_assert(k_rod_segments % k_links[0] == 0);

bool is_of(const HungSpan& span, const FreeRun& run) {
  return span.run == run.run->name && span.leg == run.leg;
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

std::string swing_left_out(const FreeRun& run) {
  if (!run.support) return "";
  const std::vector<HungSpan>& spans = run.support->spans();
  const plan::SupportKind kind = run.support->support().kind;
  const auto here =
      std::count_if(spans.begin(), spans.end(), [&](const HungSpan& s) { return is_of(s, run); });
  const bool alike = std::all_of(spans.begin(), spans.end(), [&](const HungSpan& s) {
    return s.rod.mass_kg_m == spans.front().rod.mass_kg_m &&
           s.rod.stiffness_Nm2 == spans.front().rod.stiffness_Nm2;
  });
  if (here == 1 && spans.size() <= 2 && alike) return "";
  return std::string("several lines on one ") + to_text(kind);
}

CarrierSwing::CarrierSwing(const Context& context, const FreeRun& run) : support_(*run.support) {
  const std::vector<HungSpan> spans = all_spans(support_.support(), support_.spans());
  const auto mine =
      std::find_if(spans.begin(), spans.end(), [&](const HungSpan& s) { return is_of(s, run); });
  BIGHT_CHECK(mine != spans.end() && spans.size() <= 2);
  const auto add = [&](std::size_t i) {
    RodHold hold;
    hold.at_start = spans[i].support_at_start;
    hold.at = [support = run.support, span = spans[i],
               i](const free::Pose& pose) -> std::optional<RodHold::At> {
      const SupportState state = support->at(pose);
      if (!state.has_shape()) return {};
      return RodHold::At{state.shift, length_of(span, i, state.length_mm)};
    };
    sides_.push_back(
        {i, spans[i],
         FreeRunRod(spans[i].anchors, std::move(hold), spans[i].rod, home_pose(context))});
  };
  const auto index = static_cast<std::size_t>(mine - spans.begin());
  if (spans.size() == 2) add(1 - index);
  add(index);
}

double CarrierSwing::length_mm(const Side& side, const free::Pose& pose) const {
  return length_of(side.span, side.index, support_.at(pose).length_mm);
}

Vec3 CarrierSwing::place(const free::Pose& pose) const {
  Vec3 place = support_.support().at;
  for (std::size_t j = 0; j < pose.size(); ++j) place += pose[j] * support_.motion()[j];
  return place;
}

/// From anchor to support, with links of exact length.
std::optional<std::vector<Vec3>> CarrierSwing::joints_at(const Side& side, RodShape& near,
                                                         const free::Pose& pose,
                                                         std::size_t links) const {
  FreeRunRod rod = side.rod;
  near = rod.solve_near(near, pose);
  if (!near.converged()) return {};
  std::vector<Vec3> points;
  for (std::size_t i = 0; i < near.points.size(); i += k_rod_segments / links) {
    points.push_back(near.points[i]);
  }
  if (side.span.support_at_start) std::reverse(points.begin(), points.end());
  rod::SpatialRodProblem p;
  p.length_mm = length_mm(side, pose);
  p.mass_kg_m = side.span.rod.mass_kg_m;
  p.stiffness_Nm2 = side.span.rod.stiffness_Nm2;
  p.start = points.front();
  p.end = points.back();
  p.start_tangent = leaving(side.span);
  // Pulled straight, links of any number have one shape, which the solver's tensions do not tell.
  constexpr double k_straight = 1e-5;
  if (glm::distance(p.start, p.end) > (1.0 - k_straight) * p.length_mm) return points;
  rod::SpatialRodSolver solver(static_cast<int>(links));
  if (!solver.solve_from(points, p).converged()) return {};
  return solver.points();
}

/// From the other line's anchor over the support to that of the run's line, or from that alone to
/// the support.
std::optional<std::vector<Vec3>> CarrierSwing::chain_at(std::vector<RodShape>& near,
                                                        const free::Pose& pose,
                                                        std::size_t links) const {
  auto chain = joints_at(sides_.front(), near.front(), pose, links);
  if (!chain || sides_.size() == 1) return chain;
  const auto beyond = joints_at(sides_.back(), near.back(), pose, links);
  if (!beyond) return {};
  chain->insert(chain->end(), beyond->rbegin() + 1, beyond->rend());
  return chain;
}

std::optional<rod::SwingStart> CarrierSwing::between(const free::Pose& before,
                                                     const free::Pose& after, std::size_t joint,
                                                     double sense, rod::RapidMove& move) const {
  for (const std::size_t links : k_links) {
    auto start = between(before, after, joint, sense, move, links);
    if (start) return start;
  }
  return {};
}

std::optional<rod::SwingStart> CarrierSwing::between(const free::Pose& before,
                                                     const free::Pose& after, std::size_t joint,
                                                     double sense, rod::RapidMove& move,
                                                     std::size_t links) const {
  std::vector<RodShape> near(sides_.size());
  const auto rest = chain_at(near, after, links);
  if (!rest) return {};
  constexpr int k_ways = 8;
  std::optional<std::vector<Vec3>> first = rest;
  for (int i = 1; i <= k_ways && first; ++i) {
    free::Pose pose = after;
    pose[joint] += (before[joint] - after[joint]) * i / k_ways;
    first = chain_at(near, pose, links);
  }
  if (!first) {  // it snaps on the way, and was before it as it hangs there by itself
    near.assign(sides_.size(), {});
    first = chain_at(near, before, links);
    if (!first) return {};
  }
  const bool two = sides_.size() == 2;
  const HungSpan& from = sides_.front().span;
  rod::SwingStart start;
  const double length = length_mm(sides_.front(), after);
  start.problem.length_mm = length + (two ? length_mm(sides_.back(), after) : 0.0);
  start.problem.mass_kg_m = from.rod.mass_kg_m;
  start.problem.stiffness_Nm2 = from.rod.stiffness_Nm2;
  start.problem.start = rest->front();
  start.problem.end = rest->back();
  start.problem.start_tangent = leaving(from);
  if (two) {
    const auto to = leaving(sides_.back().span);
    if (to) start.problem.end_tangent = -*to;
  }
  start.before = *first;
  start.rest = *rest;
  start.carrier = rod::Carrier{links, length, 0.0, way_of(support_.support(), place(after))};
  if (lets_line_slide(support_.support())) {
    const double slid = length_mm(sides_.front(), before) - length;
    start.carrier->way = sheave(length, slid);
    start.carrier->mass_kg = tail_kg(length);
  } else {
    start.carrier->mass_kg = support_.support().trolley_mass;
  }
  start.first = two ? links : 0;
  start.last = start.rest.size() - 1;
  move.start_rate = sense * rate_of(from, joint);
  move.carrier_rate = sense * support_.motion()[joint];
  move.end_rate = two ? sense * rate_of(sides_.back().span, joint) : Vec3(0.0);
  return start;
}

/// What moves with the line beyond a pulley: its weight, and the line that hangs from there to it.
double CarrierSwing::tail_kg(double length_mm) const {
  const plan::Support& support = support_.support();
  if (!support.weight) return 0.0;
  const HangingRod& line = sides_.front().span.rod;
  return *support.weight + line.mass_kg_m * (line.length_mm - length_mm) / 1000.0;
}

/// Of a reel, or of a pulley, with `length_mm` of line before it and `slid_mm` more at the start.
rod::Sheave CarrierSwing::sheave(double length_mm, double slid_mm) const {
  const plan::Support& support = support_.support();
  if (support.kind == plan::SupportKind::retractor) return {support.pull, 0.0, slid_mm};
  if (!support.weight) return {0.0, 0.0, slid_mm};
  const double line_N_mm = sides_.front().span.rod.mass_kg_m * k_gravity / 1000.0;
  return {tail_kg(length_mm) * k_gravity, line_N_mm, slid_mm};
}

double CarrierSwing::period_s(const free::Pose& pose) const {
  const plan::Support& support = support_.support();
  const double at = support_.at(pose).coordinate;
  const std::vector<HungSpan> spans = all_spans(support, support_.spans());
  const HangingRod& line = spans.front().rod;
  double mass = support.trolley_mass + (lets_line_slide(support) ? tail_kg(at) : 0.0);
  for (const Side& s : sides_) mass += 0.5 * s.span.rod.mass_kg_m * length_mm(s, pose) / 1000.0;
  const auto period = [mass](double stiffness_N_m) {
    return 2.0 * std::numbers::pi * std::sqrt(mass / stiffness_N_m);
  };
  if (support.kind == plan::SupportKind::cord) return period(support.cord_stiffness);
  const SpanForces forces = limp_forces(spans, pose, place(pose));
  constexpr double k_h = 1.0;  // mm, or degrees of the boom
  const double way_mm = 2.0 * k_h * mm_per_unit(support);
  const auto low = along_force(support, forces, line.length_mm, line.mass_kg_m, at - k_h);
  const auto high = along_force(support, forces, line.length_mm, line.mass_kg_m, at + k_h);
  if (!low || !high || !(low->force > high->force)) return 0.0;
  return period(1000.0 * (low->force - high->force) / way_mm);
}

double CarrierSwing::beyond(const free::Pose& after, const rod::SwingResult& swing) const {
  const auto range = support_.range();
  if (!range) return 0.0;
  const double at = support_.at(after).coordinate;
  const double below = (*range)[0] - (at + swing.carrier_low);
  const double above = at + swing.carrier_high - (*range)[1];
  // A cord that goes slack is not beyond anything.
  const bool slackens = support_.support().kind == plan::SupportKind::cord;
  return std::max({0.0, slackens ? 0.0 : below, above});
}

}  // namespace bight::study
