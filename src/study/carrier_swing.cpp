#include "study/carrier_swing.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>
#include <variant>

#include "study/hung_rods.h"

namespace bight::study {
namespace {

constexpr std::size_t k_links = 16;  // as in check_swing: fewer carry the swing as well
static_assert(k_rod_segments % k_links == 0);

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

/// With the support's body where `place` is.
std::variant<rod::Track, rod::Arm, rod::Cord> way_of(const plan::Support& support,
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
  const bool carries = kind == plan::SupportKind::trolley || kind == plan::SupportKind::boom ||
                       kind == plan::SupportKind::cord;
  if (!carries) {
    return std::string("how a ") + to_text(kind) + " moves with it is not known";
  }
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
  for (const bool mine : {false, true}) {
    for (const HungSpan& span : support_.spans()) {
      if (is_of(span, run) != mine) continue;
      RodHold hold;
      hold.at_start = span.support_at_start;
      hold.at = [support = run.support](const free::Pose& pose) -> std::optional<RodHold::At> {
        const SupportState state = support->at(pose);
        if (!state.has_shape()) return {};
        return RodHold::At{state.shift, state.length_mm};
      };
      sides_.push_back(
          {span, FreeRunRod(span.anchors, std::move(hold), span.rod, home_pose(context))});
    }
  }
}

Vec3 CarrierSwing::place(const free::Pose& pose) const {
  Vec3 place = support_.support().at;
  for (std::size_t j = 0; j < pose.size(); ++j) place += pose[j] * support_.motion()[j];
  return place;
}

/// From anchor to support, with links of exact length.
std::optional<std::vector<Vec3>> CarrierSwing::joints_at(const Side& side, RodShape& near,
                                                         const free::Pose& pose) const {
  FreeRunRod rod = side.rod;
  near = rod.solve_near(near, pose);
  if (!near.converged()) return {};
  std::vector<Vec3> points;
  for (std::size_t i = 0; i < near.points.size(); i += k_rod_segments / k_links) {
    points.push_back(near.points[i]);
  }
  if (side.span.support_at_start) std::reverse(points.begin(), points.end());
  rod::SpatialRodProblem p;
  p.length_mm = side.span.rod.length_mm;
  p.mass_kg_m = side.span.rod.mass_kg_m;
  p.stiffness_Nm2 = side.span.rod.stiffness_Nm2;
  p.start = points.front();
  p.end = points.back();
  p.start_tangent = leaving(side.span);
  rod::SpatialRodSolver solver(static_cast<int>(k_links));
  if (!solver.solve_from(points, p).converged()) return {};
  return solver.points();
}

/// From the other line's anchor over the support to that of the run's line, or from that alone to
/// the support.
std::optional<std::vector<Vec3>> CarrierSwing::chain_at(std::vector<RodShape>& near,
                                                        const free::Pose& pose) const {
  auto chain = joints_at(sides_.front(), near.front(), pose);
  if (!chain || sides_.size() == 1) return chain;
  const auto beyond = joints_at(sides_.back(), near.back(), pose);
  if (!beyond) return {};
  chain->insert(chain->end(), beyond->rbegin() + 1, beyond->rend());
  return chain;
}

std::optional<rod::SwingStart> CarrierSwing::between(const free::Pose& before,
                                                     const free::Pose& after, std::size_t joint,
                                                     double sense, rod::RapidMove& move) const {
  std::vector<RodShape> near(sides_.size());
  const auto rest = chain_at(near, after);
  if (!rest) return {};
  constexpr int k_ways = 8;
  std::optional<std::vector<Vec3>> first;
  for (int i = 1; i <= k_ways; ++i) {
    free::Pose pose = after;
    pose[joint] += (before[joint] - after[joint]) * i / k_ways;
    first = chain_at(near, pose);
    if (!first) return {};
  }
  const bool two = sides_.size() == 2;
  const HungSpan& from = sides_.front().span;
  rod::SwingStart start;
  start.problem.length_mm = from.rod.length_mm + (two ? sides_.back().span.rod.length_mm : 0.0);
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
  start.carrier = rod::Carrier{k_links, from.rod.length_mm, support_.support().trolley_mass,
                               way_of(support_.support(), place(after))};
  start.first = two ? k_links : 0;
  start.last = start.rest.size() - 1;
  move.start_rate = sense * rate_of(from, joint);
  move.carrier_rate = sense * support_.motion()[joint];
  move.end_rate = two ? sense * rate_of(sides_.back().span, joint) : Vec3(0.0);
  return start;
}

/// What a swing of the lines takes along.
double CarrierSwing::mass_kg() const {
  double mass = support_.support().trolley_mass;
  for (const Side& s : sides_) mass += 0.5 * s.span.rod.mass_kg_m * s.span.rod.length_mm / 1000.0;
  return mass;
}

double CarrierSwing::period_s(const free::Pose& pose) const {
  const plan::Support& support = support_.support();
  const auto period = [&](double stiffness_N_m) {
    return 2.0 * std::numbers::pi * std::sqrt(mass_kg() / stiffness_N_m);
  };
  if (support.kind == plan::SupportKind::cord) return period(support.cord_stiffness);
  const SpanForces forces = limp_forces(support_.spans(), pose, place(pose));
  const double at = support_.at(pose).coordinate;
  constexpr double k_h = 1.0;  // mm, or degrees of the boom
  const double way_mm = 2.0 * k_h * mm_per_unit(support);
  const auto low = along_force(support, forces, 0.0, 0.0, at - k_h);
  const auto high = along_force(support, forces, 0.0, 0.0, at + k_h);
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
