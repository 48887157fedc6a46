#include "study/suggest_edit.h"

#include <cmath>
#include <optional>

#include "study/lookup.h"

namespace bight::study {
namespace {

/// mm. A clipped leg that ends this near to a hold or bracket belongs to it.
constexpr double k_joined_mm = 1.0;

std::string toml_points(const Context& context, const std::vector<Vec3>& points) {
  std::string text = "[";
  for (const Vec3& p : points) {
    text += (text.size() > 1 ? ", " : "") + toml_place(context, p);
  }
  return text + "]";
}

/// Points of a leg after its first (or last) one moved. Points that lie level with the moved one
/// along an axis, without a gap, go with it along that axis.
std::vector<Vec3> dragged(std::vector<Vec3> points, bool last, const Vec3& shift) {
  const std::vector<Vec3> before = points;
  const std::size_t count = points.size();
  const auto at = [&](std::size_t i) { return last ? count - 1 - i : i; };
  for (int axis = 0; axis < 3; ++axis) {
    if (shift[axis] == 0.0) continue;
    const double level = before[at(0)][axis];
    // The far end is held elsewhere and stays.
    for (std::size_t i = 0; i + 1 < count || i == 0; ++i) {
      if (std::abs(before[at(i)][axis] - level) > k_joined_mm) break;
      points[at(i)][axis] += shift[axis];
    }
  }
  return points;
}

/// The clipped leg before or behind leg `leg` of a run, if its end there is at `place`.
std::optional<PlanChange> drag_neighbour(const Context& context, const plan::Run& run,
                                         std::size_t leg, bool before, const Vec3& place,
                                         const Vec3& shift) {
  if (before ? leg == 0 : leg + 1 >= run.legs.size()) return {};
  const std::size_t index = before ? leg - 1 : leg + 1;
  const plan::Leg& clipped = run.legs[index];
  if (clipped.way != plan::LegWay::fixed || clipped.points.empty()) return {};
  const Vec3 end = before ? clipped.points.back() : clipped.points.front();
  if (glm::length(end - place) > k_joined_mm) return {};
  return PlanChange{leg_path(run.name, index) + "points",
                    toml_points(context, dragged(clipped.points, before, shift)),
                    {}};
}

/// The anchor at which a free leg before or behind leg `leg` is held, if it is at `place`; once.
void drag_anchor(const Context& context, const plan::Run& run, std::size_t leg, bool before,
                 const Vec3& place, const Vec3& shift, std::vector<PlanChange>& changes) {
  if (before ? leg == 0 : leg + 1 >= run.legs.size()) return;
  const plan::Leg& free = run.legs[before ? leg - 1 : leg + 1];
  if (free.way != plan::LegWay::free) return;
  for (const plan::Anchor& anchor : context.plan.anchors) {
    const bool here = anchor.name == (before ? free.to : free.from);
    if (!here || glm::length(anchor.at - place) > k_joined_mm) continue;
    const std::string path = "anchor." + anchor.name + ".at";
    for (const PlanChange& change : changes) {
      if (change.path == path) return;
    }
    changes.push_back({path, toml_place(context, anchor.at + shift), {}});
  }
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

PlanChange set_length(const Context& context, std::string path, double mm, std::string what) {
  return {std::move(path), toml_measure(context, mm), std::move(what)};
}

PlanChange set_whole(std::string path, int number, std::string what) {
  return {std::move(path), std::to_string(number), std::move(what)};
}

std::string leg_path(const std::string& run, std::size_t leg) {
  return "run." + run + ".leg." + std::to_string(leg + 1) + ".";
}

std::vector<PlanChange> move_hold(const Context& context, const std::string& hold, const Vec3& to,
                                  const std::string& why) {
  const plan::Plan& plan = context.plan;
  std::string table = "anchor.";
  Vec3 from(0.0);
  for (const plan::Anchor& anchor : plan.anchors) {
    if (anchor.name == hold) from = anchor.at;
  }
  for (const plan::Support& support : plan.supports) {
    if (support.name != hold) continue;
    table = "support.";
    from = support.at;
  }
  std::vector<PlanChange> changes = {{table + hold + ".at", toml_place(context, to),
                                      "move " + hold + " from " + point_text(from, context.unit) +
                                          " to " + point_text(to, context.unit) + ", " + why}};
  for (const plan::Run& run : plan.runs) {
    if (lines_of_run(plan, run.name).empty()) continue;
    for (std::size_t i = 0; i < run.legs.size(); ++i) {
      if (run.legs[i].way != plan::LegWay::free) continue;
      for (const bool start : {true, false}) {
        if ((start ? run.legs[i].from : run.legs[i].to) != hold) continue;
        if (auto change = drag_neighbour(context, run, i, start, from, to - from)) {
          changes.push_back(std::move(*change));
        }
      }
    }
  }
  return changes;
}

std::vector<PlanChange> move_bracket(const Context& context, const plan::Chain& chain,
                                     Bracket bracket, const Vec3& shift, const std::string& why) {
  const bool fixed_end = bracket == Bracket::fixed;
  const Vec3 from = fixed_end ? chain.fixed_at : chain.moving_at;
  std::vector<PlanChange> changes = {
      {"chain." + chain.name + (fixed_end ? ".fixed_at" : ".moving_at"),
       toml_place(context, from + shift),
       std::string("move the ") + (fixed_end ? "fixed" : "moving") + " bracket of " + chain.name +
           " from " + point_text(from, context.unit) + " to " +
           point_text(from + shift, context.unit) + ", " + why}};
  for (const plan::Run& run : context.plan.runs) {
    if (lines_of_run(context.plan, run.name).empty()) continue;
    for (std::size_t i = 0; i < run.legs.size(); ++i) {
      if (run.legs[i].way != plan::LegWay::chain || run.legs[i].chain != chain.name) continue;
      // A run may take the chain either way.
      for (const bool before : {true, false}) {
        if (auto change = drag_neighbour(context, run, i, before, from, shift)) {
          changes.push_back(std::move(*change));
        }
        drag_anchor(context, run, i, before, from, shift, changes);
      }
    }
  }
  return changes;
}

}  // namespace bight::study
