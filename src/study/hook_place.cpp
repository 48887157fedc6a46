#include "study/hook_place.h"

#include <algorithm>
#include <limits>

#include "free/support_window.h"
#include "shape/mesh.h"
#include "study/hook_surface.h"
#include "study/lookup.h"

namespace bight::study {
namespace {

const plan::Support* support_of(const plan::Plan& plan, const std::string& name) {
  const auto found = std::find_if(plan.supports.begin(), plan.supports.end(),
                                  [&](const plan::Support& s) { return s.name == name; });
  return found == plan.supports.end() ? nullptr : &*found;
}

/// A leg whose one end goes to the place.
struct MovedLeg {
  const FreeRun* run = nullptr;
  bool start = false;
  const plan::Support* boom = nullptr;
  std::optional<double> bed_top;
};

/// The highest thing of the machine that stands still: a line that nothing else keeps up must not
/// lie on the bed.
std::optional<double> bed_top(const Context& context) {
  std::optional<double> top;
  for (const machine::PlacedPart& part : context.machine.parts) {
    if (part.body != 0 || part.role == plan::Role::surroundings) continue;
    const double z = shape::bounds(part.solid->mesh).upper.z;
    if (!top || z > *top) top = z;
  }
  return top;
}

/// The tightest window of all lines of a leg.
free::Window leg_window(const Context& context, const MovedLeg& leg, const Vec3& place) {
  free::Window tightest;
  for (const plan::Line* line : leg.run->lines) {
    const free::HangingLine hanging = hanging_line(context, *line);
    const plan::Leg& of_plan = leg.run->run->legs[leg.run->leg];
    free::WindowOptions options = window_options(context, of_plan);
    if (!of_plan.keep_above && leg.bed_top) {
      options.keep_above_mm = std::max(options.keep_above_mm.value_or(*leg.bed_top), *leg.bed_top);
    }
    free::WindowAt at;
    if (leg.boom != nullptr) {
      free::AnchorPair from_tip = leg.run->anchors;
      if (!leg.start) {
        std::swap(from_tip.start, from_tip.end);
        std::swap(from_tip.start_direction, from_tip.end_direction);
        for (free::JointMotion& j : from_tip.joints) std::swap(j.start, j.end);
      }
      at = free::boom_window(from_tip,
                             {.radius_mm = leg.boom->arm,
                              .lower_deg = leg.boom->swing[0],
                              .upper_deg = leg.boom->swing[1]},
                             hanging, options);
    } else {
      at = free::hook_window(leg.run->anchors, leg.start, hanging, options);
    }
    const free::Window window = at(place);
    if (line == leg.run->lines.front()) {
      tightest = window;
      continue;
    }
    if (window.min_mm > tightest.min_mm) {
      tightest.min_mm = window.min_mm;
      tightest.recommended_mm = window.recommended_mm;
    }
    tightest.max_mm = std::min(tightest.max_mm, window.max_mm);
    if (window.status != free::WindowStatus::open) tightest.status = window.status;
  }
  if (!(tightest.min_mm <= tightest.max_mm)) tightest.status = free::WindowStatus::closed;
  tightest.recommended_mm = std::min(tightest.recommended_mm, tightest.max_mm);
  return tightest;
}

free::HookArea area_of(const HookSurface& surface) {
  const Vec3 size = surface.area.upper - surface.area.lower;
  const int u = surface.axis == 0 ? 1 : 0;
  const int v = surface.axis == 2 ? 1 : 2;
  free::HookArea area;
  area.corner = surface.area.lower;
  area.across[u] = size[u];
  area.up[v] = size[v];
  return area;
}

free::HookPlaceWindow window_now(const free::WindowAt& at, const Vec3& place, double wanted_mm) {
  const free::Window w = at(place);
  free::HookPlaceWindow p;
  p.place = place;
  p.status = w.status;
  p.min_mm = w.min_mm;
  p.max_mm = w.max_mm;
  p.recommended_mm = w.recommended_mm;
  p.margin_mm = w.max_mm - w.min_mm;
  p.relative = p.margin_mm / w.min_mm;
  p.works = w.status == free::WindowStatus::open && p.margin_mm >= wanted_mm;
  return p;
}

/// Hooks stay, booms swing: other kinds rest where the line puts them, so no place is theirs.
bool has_a_place(const plan::Support* support) {
  return support == nullptr || support->kind == plan::SupportKind::hook ||
         support->kind == plan::SupportKind::boom;
}

}  // namespace

free::WindowAt hold_window(const Context& context, const std::vector<FreeRun>& runs,
                           const FreeRun& run, bool start) {
  const std::string& hold = start ? run.from.name : run.to.name;
  const plan::Support* support = support_of(context.plan, hold);
  const plan::Support* boom =
      support != nullptr && support->kind == plan::SupportKind::boom ? support : nullptr;
  std::vector<MovedLeg> legs{{&run, start, boom, bed_top(context)}};
  for (const FreeRun& more : runs) {
    if (&more == &run) continue;
    if (more.from.name == hold) legs.push_back({&more, true, boom, {}});
    if (more.to.name == hold) legs.push_back({&more, false, boom, {}});
  }
  return [&context, legs = std::move(legs)](const Vec3& place) {
    free::Window window = leg_window(context, legs.front(), place);
    for (std::size_t i = 1; i < legs.size(); ++i) {
      const free::Window other = leg_window(context, legs[i], place);
      window.max_mm = std::min(window.max_mm, window.min_mm + (other.max_mm - other.min_mm));
      if (other.status != free::WindowStatus::open) window.status = other.status;
    }
    return window;
  };
}

HookMaps map_hooks(const plan::Plan& plan, const machine::Machine& machine,
                   const HookMapOptions& options, Progress* progress) {
  HookMaps result;
  const StudyOptions study{.threads = options.threads, .progress = progress};
  const Context context{plan, machine, study, plan.inches ? LengthUnit::inch : LengthUnit::mm};
  const std::vector<FreeRun> runs = make_free_runs(context);
  for (const FreeRun& run : runs) {
    if (!options.run.empty() && run.run->name != options.run) continue;
    for (const bool start : {true, false}) {
      const FreeEnd& end = start ? run.from : run.to;
      const FreeEnd& other = start ? run.to : run.from;
      const plan::Support* support = support_of(plan, end.name);
      const plan::Support* beyond = support_of(plan, other.name);
      // A leg between two things that stand still follows the leg to the machine.
      const bool moves = other.body != plan::k_ground;
      if (end.body != plan::k_ground || !moves || !has_a_place(support)) continue;
      if (beyond != nullptr && beyond->kind != plan::SupportKind::hook) continue;
      const bool is_post = support != nullptr && support->kind == plan::SupportKind::boom;
      const free::WindowAt window_at = hold_window(context, runs, run, start);
      for (const HookSurface& surface : hook_surfaces(context, run, start)) {
        HookMap map;
        map.run = run.run->name;
        map.leg = run.leg + 1;
        map.hold = end.name;
        map.is_post = is_post;
        map.where = surface.where;
        map.area = area_of(surface);
        map.now = window_now(window_at, end.at, options.wanted_margin_mm);
        map.now_is_on_surface = end.at[surface.axis] == surface.level;
        map.map = free::map_hooks(map.area, window_at,
                                  {.coarse_mm = options.coarse_mm,
                                   .fine_mm = options.fine_mm,
                                   .wanted_margin_mm = options.wanted_margin_mm,
                                   .enough_margin_mm = options.enough_margin_mm,
                                   .threads = options.threads},
                                  progress);
        result.cancelled = result.cancelled || map.map.cancelled;
        result.maps.push_back(std::move(map));
        if (result.cancelled) return result;
      }
    }
  }
  if (!result.maps.empty()) return result;
  const bool known = options.run.empty() ||
                     std::any_of(plan.runs.begin(), plan.runs.end(),
                                 [&](const plan::Run& run) { return run.name == options.run; });
  result.problem =
      known ? "no line hangs between the machine and a hook, boom or anchor on the ground"
            : "there is no run \"" + options.run + "\"";
  return result;
}

}  // namespace bight::study
