#include "study/suggest_edit.h"

#include <cmath>
#include <optional>

#include "study/lookup.h"

namespace bight::study {
namespace {

/// mm. A clipped leg that ends this near to a hold or bracket belongs to it.
constexpr double k_joined_mm = 1.0;

bool near(const Vec3& a, const Vec3& b) {
  return glm::length(a - b) <= k_joined_mm;
}

Vec3 place_of(const plan::Chain& chain, Bracket bracket) {
  return bracket == Bracket::fixed ? chain.fixed_at : chain.moving_at;
}

/// Is the place that of a moved end of the leg?
bool takes_over(const plan::Plan& plan, const plan::Leg& leg, bool at_start, const Vec3& place,
                const Moving& moving) {
  if (leg.way == plan::LegWay::free) {
    const std::string& hold = at_start ? leg.from : leg.to;
    return moving.holds.count(hold) > 0 && near(place_of_hold(plan, hold).at, place);
  }
  if (leg.way != plan::LegWay::chain) return false;
  // A run may take the chain either way.
  for (const Bracket bracket : {Bracket::fixed, Bracket::moving}) {
    if (moving.brackets.count({leg.chain, bracket}) == 0) continue;
    if (near(place_of(by_name(plan.chains, leg.chain), bracket), place)) return true;
  }
  return false;
}

/// Anchors that are where a moved bracket is, on the free leg that goes on from the chain there.
void add_joined_anchors(const plan::Plan& plan, Moving& moving) {
  for (const plan::Run& run : plan.runs) {
    if (lines_of_run(plan, run.name).empty()) continue;
    for (std::size_t i = 0; i < run.legs.size(); ++i) {
      if (run.legs[i].way != plan::LegWay::free) continue;
      for (const bool start : {true, false}) {
        if (start ? i == 0 : i + 1 == run.legs.size()) continue;
        const plan::Leg& beside = run.legs[start ? i - 1 : i + 1];
        const std::string& hold = start ? run.legs[i].from : run.legs[i].to;
        const HoldPlace place = place_of_hold(plan, hold);
        if (place.is_support || beside.way != plan::LegWay::chain) continue;
        if (takes_over(plan, beside, !start, place.at, moving)) moving.holds.insert(hold);
      }
    }
  }
}

/// Which points of a clipped leg are moved along.
std::vector<bool> moved_points(const plan::Plan& plan, const plan::Run& run, std::size_t index,
                               const Moving& moving) {
  const plan::Leg& leg = run.legs[index];
  std::vector<bool> moved(leg.points.size(), false);
  for (std::size_t i = 0; i < moved.size(); ++i) {
    moved[i] = moving.has_clip && moving.has_clip(leg.body, leg.points[i]);
  }
  if (index > 0 && takes_over(plan, run.legs[index - 1], false, leg.points.front(), moving)) {
    moved.front() = true;
  }
  if (index + 1 < run.legs.size() &&
      takes_over(plan, run.legs[index + 1], true, leg.points.back(), moving)) {
    moved.back() = true;
  }
  return moved;
}

/// Points behind the moved ones at one end. Those that lie level with them along an axis, without a
/// gap, go with them along that axis.
void drag(const std::vector<Vec3>& before, const std::vector<bool>& moved, bool last,
          const Vec3& shift, std::vector<Vec3>& points) {
  const std::size_t count = before.size();
  const auto at = [&](std::size_t i) { return last ? count - 1 - i : i; };
  std::size_t first = 0;  // that is not moved itself
  while (first < count && moved[at(first)]) ++first;
  if (first == 0 || first == count) return;
  for (int axis = 0; axis < 3; ++axis) {
    if (shift[axis] == 0.0) continue;
    const double level = before[at(first - 1)][axis];
    // The far end is held elsewhere and stays.
    for (std::size_t i = first; i + 1 < count; ++i) {
      if (moved[at(i)] || std::abs(before[at(i)][axis] - level) > k_joined_mm) break;
      points[at(i)][axis] = before[at(i)][axis] + shift[axis];
    }
  }
}

std::vector<Vec3> moved_leg(const std::vector<Vec3>& before, const std::vector<bool>& moved,
                            const Vec3& shift) {
  std::vector<Vec3> points = before;
  const bool whole = moved.front() && moved.back();
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (whole || moved[i]) points[i] += shift;
  }
  if (whole) return points;
  drag(before, moved, false, shift, points);
  drag(before, moved, true, shift, points);
  return points;
}

}  // namespace

double measurable(const Context& context, double mm, double step_mm) {
  const double step = context.plan.inches ? 0.01 * k_mm_per_inch : step_mm;
  return std::round(mm / step) * step;
}

std::string toml_measure(const Context& context, double mm) {
  const double value = context.plan.inches ? mm / k_mm_per_inch : mm;
  return shortest(std::round(value * 1e4) / 1e4);
}

std::string toml_place(const Context& context, const Vec3& mm) {
  return "[" + toml_measure(context, mm.x) + ", " + toml_measure(context, mm.y) + ", " +
         toml_measure(context, mm.z) + "]";
}

std::string toml_points(const Context& context, const std::vector<Vec3>& points) {
  std::string text = "[";
  for (const Vec3& p : points) {
    text += (text.size() > 1 ? ", " : "") + toml_place(context, p);
  }
  return text + "]";
}

std::vector<Vec3> with_end_at(const std::vector<Vec3>& points, bool last, const Vec3& to) {
  std::vector<bool> moved(points.size(), false);
  (last ? moved.back() : moved.front()) = true;
  return moved_leg(points, moved, to - (last ? points.back() : points.front()));
}

PlanChange set_length(const Context& context, std::string path, double mm, std::string what) {
  return {std::move(path), toml_measure(context, mm), std::move(what)};
}

PlanChange set_whole(std::string path, int number, std::string what) {
  return {std::move(path), std::to_string(number), std::move(what)};
}

std::string leg_path(const std::string& run, std::size_t leg) {
  return "run." + run + ".leg." + std::to_string(leg + 1) + ".";
}

HoldPlace place_of_hold(const plan::Plan& plan, const std::string& hold) {
  for (const plan::Support& support : plan.supports) {
    if (support.name == hold) return {support.at, support.body, true};
  }
  for (const plan::Anchor& anchor : plan.anchors) {
    if (anchor.name == hold) return {anchor.at, anchor.body, false};
  }
  return {};
}

std::string move_text(const Context& context, const std::string& thing, const Vec3& from,
                      const Vec3& to, const std::string& why) {
  return "move " + thing + " from " + point_text(from, context.unit) + " to " +
         point_text(to, context.unit) + (why.empty() ? "" : ", " + why);
}

std::string free_length_text(const Context& context, const std::string& run,
                             const std::string& from, const std::string& to, double mm) {
  return "let " + run + " hang " + context.length(mm, 0) + " long between \"" + from + "\" and \"" +
         to + "\"";
}

std::string bracket_name(const std::string& chain, Bracket bracket) {
  return std::string("the ") + (bracket == Bracket::fixed ? "fixed" : "moving") + " bracket of " +
         chain;
}

std::vector<PlanChange> move_together(const Context& context, const Moving& what_moves,
                                      const Vec3& shift, const std::string& what) {
  const plan::Plan& plan = context.plan;
  Moving moving = what_moves;
  add_joined_anchors(plan, moving);
  std::vector<PlanChange> changes;
  const auto put = [&](const std::string& path, const Vec3& place) {
    changes.push_back({path, toml_place(context, place + shift), {}});
  };
  for (const std::string& part : moving.parts) {
    put("part." + part + ".at", by_name(plan.parts, part).at);
  }
  for (const auto& [name, bracket] : moving.brackets) {
    put("chain." + name + (bracket == Bracket::fixed ? ".fixed_at" : ".moving_at"),
        place_of(by_name(plan.chains, name), bracket));
  }
  for (const std::string& hold : moving.holds) {
    const HoldPlace place = place_of_hold(plan, hold);
    put((place.is_support ? "support." : "anchor.") + hold + ".at", place.at);
  }
  for (const std::string& name : moving.switches) {
    put("switch." + name + ".at", by_name(plan.switches, name).at);
  }
  for (const std::string& name : moving.actuators) {
    put("switch." + name + ".actuator_at", by_name(plan.switches, name).actuator_at);
  }
  for (const plan::Run& run : plan.runs) {
    if (lines_of_run(plan, run.name).empty()) continue;
    for (std::size_t i = 0; i < run.legs.size(); ++i) {
      const plan::Leg& leg = run.legs[i];
      if (leg.way != plan::LegWay::fixed || leg.points.empty()) continue;
      const std::vector<Vec3> points =
          moved_leg(leg.points, moved_points(plan, run, i, moving), shift);
      if (points == leg.points) continue;
      changes.push_back({leg_path(run.name, i) + "points", toml_points(context, points), {}});
    }
  }
  if (!changes.empty()) changes.front().what = what;
  return changes;
}

std::vector<PlanChange> move_hold(const Context& context, const std::string& hold, const Vec3& to,
                                  const std::string& why) {
  const Vec3 from = place_of_hold(context.plan, hold).at;
  Moving moving;
  moving.holds = {hold};
  return move_together(context, moving, to - from, move_text(context, hold, from, to, why));
}

std::vector<PlanChange> move_bracket(const Context& context, const plan::Chain& chain,
                                     Bracket bracket, const Vec3& shift, const std::string& why) {
  const Vec3 from = place_of(chain, bracket);
  Moving moving;
  moving.brackets = {{chain.name, bracket}};
  return move_together(
      context, moving, shift,
      move_text(context, bracket_name(chain.name, bracket), from, from + shift, why));
}

}  // namespace bight::study
