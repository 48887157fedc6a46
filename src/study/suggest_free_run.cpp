// Lengths, hooks and anchors that may mend a free run.

#include <algorithm>
#include <cmath>

#include "free/opening_move.h"
#include "plan/patch.h"
#include "study/hook_place.h"
#include "study/hook_search.h"
#include "study/hook_surface.h"
#include "study/lookup.h"
#include "study/suggest_candidate.h"
#include "study/suggest_edit.h"

namespace bight::study {
namespace {

constexpr double k_tape_mm = 10.0;     ///< lengths overhead are cut to this
constexpr double k_reach_mm = 2500.0;  ///< farthest straight move of a hold
constexpr int k_lengths = 8;           ///< lengths tried within a window

const FreeRunFigures* figures_of(const StudyResult& result, const FreeRun& run) {
  for (const FreeRunFigures& figures : result.free_runs) {
    if (figures.run == run.run->name && figures.leg == run.leg + 1) return &figures;
  }
  return nullptr;
}

std::string run_name(const FreeRun& run) {
  return run.run->name + ", " + run.from.name + " to " + run.to.name;
}

PlanChange length_change(const Context& context, const FreeRun& run, double mm) {
  return set_length(context, leg_path(run.run->name, run.leg) + "length", mm,
                    "cut " + run_name(run) + " to " + context.length(mm, 0));
}

/// Lengths within the window, nearest to the present one first.
void add_lengths(const Context& context, const FreeRun& run, const FreeRunFigures& figures,
                 std::vector<Candidate>& candidates) {
  if (!(figures.min_mm <= figures.max_mm)) return;
  // A window without an upper end is searched up to half as much again.
  const double most = std::min(figures.max_mm, 1.5 * figures.min_mm);
  std::vector<double> lengths;
  for (int i = 0; i <= k_lengths; ++i) {
    const double exact = figures.min_mm + (most - figures.min_mm) * i / k_lengths;
    const double tape = i < k_lengths ? std::ceil(exact / k_tape_mm) * k_tape_mm
                                      : std::floor(exact / k_tape_mm) * k_tape_mm;
    const bool fits = tape >= figures.min_mm && tape <= figures.max_mm;
    const double length = measurable(context, fits ? tape : exact);
    if (std::find(lengths.begin(), lengths.end(), length) == lengths.end() &&
        std::abs(length - figures.length_mm) > 0.5) {
      lengths.push_back(length);
    }
  }
  std::stable_sort(lengths.begin(), lengths.end(), [&](double a, double b) {
    return std::abs(a - figures.length_mm) < std::abs(b - figures.length_mm);
  });
  for (const double length : lengths) {
    candidates.push_back({"another length", {length_change(context, run, length)}});
  }
}

/// A length is written only where the plan gives one; else the program chooses it.
void add_move(const Context& context, const FreeRun& run, std::string kind,
              std::vector<PlanChange> changes, double length_mm,
              std::vector<Candidate>& candidates) {
  if (run.run->legs[run.leg].length) {
    changes.push_back(length_change(context, run, length_mm));
  } else {
    changes.front().what += "; the line there is then " + context.length(length_mm, 0) + " long";
  }
  candidates.push_back({std::move(kind), std::move(changes)});
}

void add_hook_places(const Context& context, const FreeRun& run,
                     std::vector<Candidate>& candidates) {
  for (const bool start : {true, false}) {
    const FreeEnd& end = start ? run.from : run.to;
    if (end.body != plan::k_ground) continue;
    if (run.support || run.festoon != nullptr) continue;  // rests where its lines put it
    for (const HookPlace& place : find_hook_places(context, run, start)) {
      const Vec3 at(measurable(context, place.at.x), measurable(context, place.at.y),
                    measurable(context, place.at.z));
      add_move(context, run, end.name + " " + place.where,
               move_hold(context, end.name, at, place.where), place.length_mm, candidates);
    }
  }
}

/// The best place of the map of each surface: widest window up to what is enough, then the shortest
/// line.
void add_mapped_places(const Context& context, const FreeRun& run,
                       std::vector<Candidate>& candidates) {
  const HookMaps maps = map_hooks(context.plan, context.machine,
                                  {.run = run.run->name, .threads = context.options.threads},
                                  context.options.progress);
  for (const HookMap& map : maps.maps) {
    if (map.leg != run.leg + 1 || !map.map.best) continue;
    const free::HookPlaceWindow& best = map.map.places[*map.map.best];
    const Vec3 at(measurable(context, best.place.x, 1.0), measurable(context, best.place.y, 1.0),
                  measurable(context, best.place.z, 1.0));
    add_move(context, run, map.hold + " at the best place " + map.where,
             move_hold(context, map.hold, at, "the best place " + map.where),
             measurable(context, best.recommended_mm), candidates);
  }
}

/// Straight moves of either end that open a closed window, also on bodies that move.
void add_opening_moves(const Context& context, const FreeRun& run,
                       std::vector<Candidate>& candidates) {
  const RunWindow window = window_of(context, run);
  if (window.open() || window.of_line.empty()) return;
  const auto moves =
      free::opening_moves(run.anchors, hanging_line(context, *run.lines[window.min_line]),
                          window_options(run.run->legs[run.leg]),
                          {.start_may_move = true, .end_may_move = true, .reach_mm = k_reach_mm});
  for (const double play : {20.0, 100.0}) {
    for (const free::AnchorMove& move : moves) {
      const FreeEnd& end = move.moves_start ? run.from : run.to;
      const double distance = std::ceil((move.distance_mm + play) / k_tape_mm) * k_tape_mm;
      if (end.body == plan::k_ground &&
          !can_be_held_at(context, end.at, end.at + distance * move.direction)) {
        continue;
      }
      FreeRun moved = run;
      (move.moves_start ? moved.anchors.start : moved.anchors.end) += distance * move.direction;
      const RunWindow changed = window_of(context, moved);
      if (!changed.open()) continue;
      const double length = std::ceil(changed.min_mm / k_tape_mm) * k_tape_mm;
      add_move(
          context, run, end.name + " along one axis",
          move_hold(context, end.name, end.at + distance * move.direction,
                    context.length(distance, 0) + " towards " + direction_text(move.direction)),
          length <= changed.max_mm ? length : changed.min_mm, candidates);
    }
  }
}

/// Short straight moves of ends on bodies that move: brackets and arms of the machine.
void add_arm_moves(const Context& context, const FreeRun& run, const FreeRunFigures& figures,
                   std::vector<Candidate>& candidates) {
  for (const double distance : {20.0, 50.0, 100.0, 200.0}) {
    for (const bool start : {true, false}) {
      const FreeEnd& end = start ? run.from : run.to;
      if (end.body == plan::k_ground) continue;
      for (const Vec3& direction : {Vec3(0, 0, 1), Vec3(0, 0, -1), Vec3(1, 0, 0), Vec3(-1, 0, 0),
                                    Vec3(0, 1, 0), Vec3(0, -1, 0)}) {
        FreeRun moved = run;
        (start ? moved.anchors.start : moved.anchors.end) += distance * direction;
        const RunWindow changed = window_of(context, moved);
        if (!changed.open()) continue;
        const double length = std::clamp(figures.length_mm, changed.min_mm, changed.max_mm);
        add_move(context, run, end.name + " along one axis",
                 move_hold(context, end.name, end.at + distance * direction,
                           context.length(distance, 0) + " towards " + direction_text(direction)),
                 measurable(context, length), candidates);
      }
    }
  }
}

void add_stronger_support(const Context& context, const Finding& finding,
                          std::vector<Candidate>& candidates) {
  for (const plan::Support& support : context.plan.supports) {
    if (finding.things.empty() || support.name != finding.things.front()) continue;
    // Twice the pull (common practice for a hook in wood).
    const double load = std::ceil(2.0 * finding.value);
    candidates.push_back({"a stronger hook",
                          {{"support." + support.name + ".max_load", shortest(load),
                            "take a " + support.name + " that carries " + fixed(load, 0) + " N"}}});
  }
}

}  // namespace

std::vector<Candidate> free_run_candidates(const Context& context, const StudyResult& result,
                                           const Finding& finding) {
  std::vector<Candidate> candidates;
  const auto named = [&](const std::string& name) {
    return std::find(finding.things.begin(), finding.things.end(), name) != finding.things.end();
  };
  for (const FreeRun& run : make_free_runs(context)) {
    const FreeRunFigures* figures = figures_of(result, run);
    if (!named(run.run->name) || figures == nullptr) continue;
    // A run may have several free legs.
    const bool other_leg =
        finding.check == "length window" && !(named(run.from.name) && named(run.to.name));
    if (other_leg) continue;
    add_lengths(context, run, *figures, candidates);
    if (finding.check == "support load") continue;
    add_hook_places(context, run, candidates);
    add_mapped_places(context, run, candidates);
    add_opening_moves(context, run, candidates);
    if (finding.check != "length window") add_arm_moves(context, run, *figures, candidates);
  }
  if (finding.check == "support load") add_stronger_support(context, finding, candidates);
  return candidates;
}

}  // namespace bight::study
