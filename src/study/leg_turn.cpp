#include "study/leg_turn.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <optional>
#include <utility>

#include "line/route.h"
#include "rod/catenary.h"
#include "study/free_run.h"
#include "study/free_run_grid.h"
#include "study/lookup.h"

namespace bight::study {
namespace {

/// A limp line is quick to solve, and where it turns the most is seldom far from a corner.
constexpr std::size_t k_poses = 125;

constexpr double k_radians = std::numbers::pi / 180.0;

/// Unit vector along the run; nothing where the line has no shape.
using Direction = std::function<std::optional<Vec3>(const free::Pose&)>;

/// A leg where it meets its neighbour.
struct LegEnd {
  TurnSide side;
  std::string what;  ///< "clipped to gantry", "in X chain", "free, hook to head"
  Direction direction;
  std::string hold;              ///< hanging: where
  const FreeRun* run = nullptr;  ///< hanging
};

/// A free leg with the length and the support that its check found.
struct HungLeg {
  FreeRun run;
  double length_mm = 0.0;
};

std::vector<HungLeg> hung_legs(const Context& context,
                               const std::vector<FreeRunFigures>& free_runs) {
  std::vector<HungLeg> legs;
  for (FreeRun& run : make_free_runs(context)) {
    for (const FreeRunFigures& f : free_runs) {
      if (f.run != run.run->name || f.leg != run.leg + 1) continue;
      if (run.support) run.support = support_with(run, f.length_mm);
      legs.push_back({std::move(run), f.length_mm});
      break;
    }
  }
  return legs;
}

/// Of a limp line at one of its ends, from start to end. Its mass does not matter.
std::optional<Vec3> limp_tangent(const Vec3& way, double length_mm, bool at_start) {
  const double across = std::hypot(way.x, way.y);
  const rod::Catenary line = rod::solve_catenary({across, way.z, length_mm, 1.0});
  if (!line.has_shape()) return {};
  const Vec3 along = across > 0.0 ? Vec3(way.x / across, way.y / across, 0.0) : Vec3(1.0, 0.0, 0.0);
  const double slope = k_radians * (at_start ? line.slope_start_deg : line.slope_end_deg);
  return std::cos(slope) * along + std::sin(slope) * Vec3(0.0, 0.0, 1.0);
}

std::optional<Vec3> hanging_direction(const HungLeg& leg, const free::Pose& pose, bool at_start) {
  const FreeRun& run = leg.run;
  Vec3 way = free::end_at(run.anchors, pose) - free::start_at(run.anchors, pose);
  if (run.festoon != nullptr) {  // equal level loops
    return limp_tangent(way / static_cast<double>(run.festoon->loops),
                        leg.length_mm / run.festoon->loops, at_start);
  }
  if (!run.support) return limp_tangent(way, leg.length_mm, at_start);
  const SupportState state = run.support->limp_at(pose);
  if (!state.has_shape()) return {};
  way += run.support_at_start ? -state.shift : state.shift;
  return limp_tangent(way, state.length_mm > 0.0 ? state.length_mm : leg.length_mm, at_start);
}

bool starts_on_boom(const HungLeg& leg) {
  return leg.run.support && leg.run.support->support().kind == plan::SupportKind::boom;
}

/// From the post of a boom to its tip.
std::optional<Vec3> arm_direction(const HungLeg& leg, const free::Pose& pose) {
  const SupportState state = leg.run.support->limp_at(pose);
  if (!state.has_shape()) return {};
  return glm::normalize(state.shift);
}

LegEnd free_end(const HungLeg& leg, bool at_start) {
  const FreeEnd& end = at_start ? leg.run.from : leg.run.to;
  LegEnd result;
  result.what = "free, " + leg.run.from.name + " to " + leg.run.to.name;
  if (end.direction) {
    result.side.guide = LegGuide::held;
    result.direction = [d = at_start ? *end.direction : -*end.direction](const free::Pose&) {
      return std::optional(d);
    };
    return result;
  }
  result.hold = end.name;
  result.run = &leg.run;
  if (at_start && starts_on_boom(leg)) {
    result.what = "tied along the arm of " + end.name;
    result.direction = [&leg](const free::Pose& pose) { return arm_direction(leg, pose); };
  } else {
    result.direction = [&leg, at_start](const free::Pose& pose) {
      return hanging_direction(leg, pose, at_start);
    };
  }
  return result;
}

/// Length of the straight next to an end, without what the bend at its other end takes of it.
double end_straight(const plan::Leg& leg, const Vec3& end, const Vec3& next) {
  double straight = glm::distance(end, next);
  const line::RouteResult route = line::measure_route({leg.points, leg.bend_radius, 0.0});
  for (const line::RouteBend& bend : route.bends) {
    if (leg.points[bend.corner] != next) continue;
    straight -= leg.bend_radius * std::tan(0.5 * bend.angle);
  }
  return std::max(0.0, straight);
}

LegEnd clipped_end(const plan::Leg& leg, bool at_start) {
  const std::size_t n = leg.points.size();
  const Vec3& end = at_start ? leg.points[0] : leg.points[n - 1];
  const Vec3& next = at_start ? leg.points[1] : leg.points[n - 2];
  LegEnd result;
  result.side = {LegGuide::clipped, end_straight(leg, end, next), n == 2};
  result.what = "clipped to " + leg.body;
  result.direction = [way = at_start ? next - end : end - next](const free::Pose&) {
    const double length = glm::length(way);
    return length > 0.0 ? std::optional(way / length) : std::nullopt;
  };
  return result;
}

/// A chain leaves both of its brackets in the direction in which its loop opens.
LegEnd chain_end(const plan::Chain& chain, bool at_start) {
  LegEnd result;
  result.side.guide = LegGuide::held;
  result.what = "in " + chain.name;
  result.direction = [d = at_start ? chain.opens : -chain.opens](const free::Pose&) {
    return std::optional(d);
  };
  return result;
}

const HungLeg* hung_leg(const std::vector<HungLeg>& hung, const plan::Run& run, std::size_t leg) {
  const auto found = std::find_if(hung.begin(), hung.end(), [&](const HungLeg& h) {
    return h.run.run == &run && h.run.leg == leg;
  });
  return found == hung.end() ? nullptr : &*found;
}

/// Nothing for a free leg that was not looked at.
std::optional<LegEnd> leg_end(const Context& context, const plan::Run& run, std::size_t index,
                              bool at_start, const std::vector<HungLeg>& hung) {
  const plan::Leg& leg = run.legs[index];
  switch (leg.way) {
    case plan::LegWay::fixed:
      return clipped_end(leg, at_start);
    case plan::LegWay::chain:
      return chain_end(by_name(context.plan.chains, leg.chain), at_start);
    case plan::LegWay::free:
      break;
  }
  const HungLeg* const found = hung_leg(hung, run, index);
  return found == nullptr ? std::nullopt : std::optional(free_end(*found, at_start));
}

double angle_between(const Vec3& a, const Vec3& b) {
  return std::atan2(glm::length(glm::cross(a, b)), glm::dot(a, b)) / k_radians;
}

/// The largest angle over the poses of all sides that hang; nothing when no pose has a shape.
std::optional<LegTurn> turn_between(const Context& context, const LegEnd& before,
                                    const LegEnd& after) {
  LegTurn turn;
  turn.before = before.side;
  turn.after = after.side;
  turn.hold = before.hold.empty() ? after.hold : before.hold;
  std::vector<free::Pose> poses;
  for (const LegEnd* end : {&before, &after}) {
    if (end->run == nullptr) continue;
    const std::vector<bool> none(context.machine.joints.size(), false);
    const PoseGrid grid = free_run_grid(context, *end->run, none, k_poses);
    for (std::size_t i = 0; i < grid.size(); ++i) poses.push_back(grid.pose(i));
    turn.step_mm = std::max(turn.step_mm, grid.step_mm);
  }
  const bool hangs = !poses.empty();
  if (!hangs) poses.push_back(neutral_pose(context.machine));
  bool found = false;
  for (const free::Pose& pose : poses) {
    const std::optional<Vec3> in = before.direction(pose);
    const std::optional<Vec3> out = after.direction(pose);
    if (!in || !out) continue;
    const double angle = angle_between(*in, *out);
    if (hangs) ++turn.poses;
    if (found && !(angle > turn.angle_deg)) continue;
    found = true;
    turn.angle_deg = angle;
    if (hangs) turn.pose = pose;
  }
  return found ? std::optional(turn) : std::nullopt;
}

/// Where its arm hands the line over to the hanging part.
std::optional<LegTurn> turn_at_tip(const Context& context, const HungLeg& leg) {
  const LegEnd arm = free_end(leg, true);
  LegEnd below = arm;
  below.direction = [&leg](const free::Pose& pose) { return hanging_direction(leg, pose, true); };
  std::optional<LegTurn> turn = turn_between(context, arm, below);
  if (turn) turn->where = "at its tip";
  return turn;
}

}  // namespace

std::vector<LegTurn> leg_turns(const Context& context,
                               const std::vector<FreeRunFigures>& free_runs) {
  const std::vector<HungLeg> hung = hung_legs(context, free_runs);
  std::vector<LegTurn> turns;
  const auto add = [&turns](std::optional<LegTurn> turn, const plan::Run& run, std::size_t leg) {
    if (!turn) return;
    turn->run = &run;
    turn->leg = leg;
    turns.push_back(std::move(*turn));
  };
  for (const plan::Run& run : context.plan.runs) {
    if (lines_of_run(context.plan, run.name).empty()) continue;
    for (std::size_t i = 0; i < run.legs.size(); ++i) {
      const HungLeg* const here = hung_leg(hung, run, i);
      if (here != nullptr && starts_on_boom(*here)) add(turn_at_tip(context, *here), run, i);
      if (i + 1 == run.legs.size()) break;
      const auto before = leg_end(context, run, i, false, hung);
      const auto after = leg_end(context, run, i + 1, true, hung);
      if (!before || !after) continue;
      std::optional<LegTurn> turn = turn_between(context, *before, *after);
      if (turn) {
        turn->where = "from leg " + std::to_string(i + 1) + " (" + before->what + ") into leg " +
                      std::to_string(i + 2) + " (" + after->what + ")";
      }
      add(std::move(turn), run, i);
    }
  }
  return turns;
}

}  // namespace bight::study
