// Lengths, hooks and anchors that may mend a free run.

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <optional>
#include <span>

#include "free/opening_move.h"
#include "plan/patch.h"
#include "study/hook_place.h"
#include "study/hook_search.h"
#include "study/hook_surface.h"
#include "study/lookup.h"
#include "study/suggest_candidate.h"
#include "study/suggest_edit.h"
#include "study/suggest_quick.h"

namespace bight::study {
namespace {

constexpr double k_reach_mm = 2500.0;  ///< farthest straight move of a hold
constexpr int k_lengths = 8;           ///< lengths tried within a window
constexpr int k_lengths_hung = 3;      ///< the same on a support that moves: each takes long

const FreeRunFigures* figures_of(const StudyResult& result, const FreeRun& run) {
  for (const FreeRunFigures& figures : result.free_runs) {
    if (figures.run == run.run->name && figures.leg == run.leg + 1) return &figures;
  }
  return nullptr;
}

PlanChange length_change(const Context& context, const FreeRun& run, double mm) {
  const std::optional<double>& now = run.run->legs[run.leg].length;
  return set_length(context, leg_path(run.run->name, run.leg) + "length", mm,
                    free_length_text(context, run.run->name, run.from.name, run.to.name, mm) +
                        (now ? " (" + context.length(*now, 0) + " before)" : ""));
}

/// What the generators need of one free leg.
struct Leg {
  const Context& context;
  FreeRun run;
  FreeRunFigures figures;
  const Carriers& carriers;
  std::shared_ptr<const QuickLook> look;
};

/// Lengths within the window, nearest to the present one first.
Candidates lengths_of(const Leg& leg) {
  Candidates candidates;
  const FreeRunFigures& figures = leg.figures;
  if (!(figures.min_mm <= figures.max_mm)) return candidates;
  // What a retractor lets out is no length that a person cuts.
  const bool cut =
      !leg.run.support || leg.run.support->support().kind != plan::SupportKind::retractor;
  if (!cut) return candidates;
  // A window without an upper end is searched up to half as much again.
  const double longest = std::min(figures.max_mm, 1.5 * figures.min_mm);
  const double middle = 0.5 * (figures.min_mm + longest);
  const double least = std::min(figures.min_mm + free::k_tape_mm, middle);
  const double most = std::max(longest - free::k_tape_mm, middle);
  std::vector<double> lengths;
  const bool hung = leg.run.support != nullptr;
  const int count = hung ? k_lengths_hung : k_lengths;
  for (int i = 0; i <= count; ++i) {
    const double exact = least + (most - least) * i / count;
    const double tape = i < count ? std::ceil(exact / free::k_tape_mm) * free::k_tape_mm
                                  : std::floor(exact / free::k_tape_mm) * free::k_tape_mm;
    const bool fits = tape >= least && tape <= most;
    const double length = measurable(leg.context, fits ? tape : exact);
    if (std::find(lengths.begin(), lengths.end(), length) == lengths.end() &&
        std::abs(length - figures.length_mm) > 0.5) {
      lengths.push_back(length);
    }
  }
  std::stable_sort(lengths.begin(), lengths.end(), [&](double a, double b) {
    return std::abs(a - figures.length_mm) < std::abs(b - figures.length_mm);
  });
  for (const double length : lengths) {
    if (!hung && !leg.look->may_mend(leg.run, length)) continue;
    candidates.push_back({"another length", {length_change(leg.context, leg.run, length)}});
  }
  return candidates;
}

/// A length is written only where the plan gives one; else the program chooses it.
void add_move(const Leg& leg, const std::string& kind, Ways ways, double length_mm,
              Candidates& candidates) {
  for (std::vector<PlanChange>& changes : ways) {
    if (leg.run.run->legs[leg.run.leg].length) {
      changes.push_back(length_change(leg.context, leg.run, length_mm));
    } else {
      changes.front().what +=
          "; the line there is then " + leg.context.length(length_mm, 0) + " long";
    }
  }
  add_ways(std::move(ways), kind, candidates);
}

/// The leg with an end somewhere else.
FreeRun moved(FreeRun run, bool start, const Vec3& shift) {
  (start ? run.anchors.start : run.anchors.end) += shift;
  return run;
}

Candidates hook_places_of(const Leg& leg) {
  Candidates candidates;
  const Context& context = leg.context;
  for (const bool start : {true, false}) {
    const FreeEnd& end = start ? leg.run.from : leg.run.to;
    if (end.body != plan::k_ground) continue;
    if (leg.run.support || leg.run.festoon != nullptr) continue;  // rests where its lines put it
    for (const HookPlace& place : find_hook_places(context, leg.run, start)) {
      const Vec3 at(measurable(context, place.at.x), measurable(context, place.at.y),
                    measurable(context, place.at.z));
      if (!leg.look->may_mend(moved(leg.run, start, at - end.at), place.length_mm)) continue;
      add_move(leg, end.name + " " + place.where, leg.carriers.move_hold(end.name, at, place.where),
               place.length_mm, candidates);
    }
  }
  return candidates;
}

/// The best place of the map of each surface: widest window up to what is enough, then the shortest
/// line.
Candidates mapped_places_of(const Leg& leg) {
  Candidates candidates;
  const Context& context = leg.context;
  const HookMaps maps = map_hooks(context.plan, context.machine,
                                  {.run = leg.run.run->name, .threads = context.options.threads},
                                  context.options.progress);
  for (const HookMap& map : maps.maps) {
    if (map.leg != leg.run.leg + 1 || !map.map.best) continue;
    const free::HookPlaceWindow& best = map.map.places[*map.map.best];
    const Vec3 at(measurable(context, best.place.x, 1.0), measurable(context, best.place.y, 1.0),
                  measurable(context, best.place.z, 1.0));
    add_move(leg, map.hold + " at the best place " + map.where,
             leg.carriers.move_hold(map.hold, at, "the best place " + map.where),
             measurable(context, best.recommended_mm), candidates);
  }
  return candidates;
}

std::string shift_text(const Context& context, double distance, const Vec3& direction) {
  return context.length(distance, 0) + " towards " + direction_text(direction);
}

/// Straight moves of either end that open a closed window, also on bodies that move.
Candidates opening_moves_of(const Leg& leg) {
  Candidates candidates;
  const Context& context = leg.context;
  const FreeRun& run = leg.run;
  const RunWindow window = window_of(context, run);
  if (window.open() || window.of_line.empty()) return candidates;
  const auto moves =
      free::opening_moves(run.anchors, hanging_line(context, *run.lines[window.min_line]),
                          window_options(context, run.run->legs[run.leg]),
                          {.start_may_move = true, .end_may_move = true, .reach_mm = k_reach_mm});
  for (const double play : {20.0, 100.0}) {
    for (const free::AnchorMove& move : moves) {
      const FreeEnd& end = move.moves_start ? run.from : run.to;
      const double distance =
          std::ceil((move.distance_mm + play) / free::k_tape_mm) * free::k_tape_mm;
      const Vec3 shift = distance * move.direction;
      if (end.body == plan::k_ground && !can_be_held_at(context, end.at, end.at + shift)) continue;
      const RunWindow changed = window_of(context, moved(run, move.moves_start, shift));
      if (!changed.open()) continue;
      const double length = free::length_to_cut(changed.min_mm, changed.max_mm);
      add_move(leg, end.name + " along one axis",
               leg.carriers.move_hold(end.name, end.at + shift,
                                      shift_text(context, distance, move.direction)),
               length, candidates);
    }
  }
  return candidates;
}

/// The window of a leg whose ends were moved by hand; nothing when no length works or a look at few
/// poses shows that it mends nothing.
std::optional<double> length_after(const Leg& leg, const FreeRun& changed) {
  const RunWindow window = window_of(leg.context, changed);
  if (!window.open()) return {};
  const bool given = leg.run.run->legs[leg.run.leg].length.has_value();
  const double length =
      given ? std::clamp(leg.figures.length_mm, window.min_mm, window.max_mm) : window.length_mm;
  if (!leg.look->may_mend(changed, length)) return {};
  return measurable(leg.context, length);
}

/// Straight moves of ends on bodies that move, with the brackets, posts and arms that carry them;
/// then of both ends together, where both are there.
Candidates arm_moves(const Leg& leg, std::span<const double> distances) {
  Candidates candidates;
  const Context& context = leg.context;
  const FreeRun& run = leg.run;
  const bool start_moves = run.from.body != plan::k_ground;
  const bool end_moves = run.to.body != plan::k_ground;
  for (const double distance : distances) {
    for (const Vec3& direction : {Vec3(0, 0, 1), Vec3(0, 0, -1), Vec3(1, 0, 0), Vec3(-1, 0, 0),
                                  Vec3(0, 1, 0), Vec3(0, -1, 0)}) {
      if (is_cancelled(context.options.progress)) return candidates;
      const Vec3 shift = distance * direction;
      const std::string by = shift_text(context, distance, direction);
      for (const bool start : {true, false}) {
        const FreeEnd& end = start ? run.from : run.to;
        if (!(start ? start_moves : end_moves)) continue;
        const auto length = length_after(leg, moved(run, start, shift));
        if (!length) continue;
        add_move(leg, end.name + " along one axis",
                 leg.carriers.move_hold(end.name, end.at + shift, by), *length, candidates);
      }
      if (!start_moves || !end_moves) continue;
      const auto length = length_after(leg, moved(moved(run, true, shift), false, shift));
      if (!length) continue;
      add_move(leg, "both ends along one axis",
               leg.carriers.move_holds({run.from.name, run.to.name}, shift, "by " + by), *length,
               candidates);
    }
  }
  return candidates;
}

Candidates short_arm_moves_of(const Leg& leg) {
  return arm_moves(leg, std::array{20.0, 50.0, 100.0});
}

Candidates long_arm_moves_of(const Leg& leg) {
  return arm_moves(leg, std::array{200.0, 300.0});
}

void add_stronger_support(const Context& context, const Finding& finding, Candidates& candidates) {
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

std::vector<CandidateStage> free_run_stages(const Context& context, const StudyResult& result,
                                            const Finding& finding, const Carriers& carriers) {
  std::vector<CandidateStage> stages;
  if (finding.check == "support load") {
    stages.emplace_back([&] {
      Candidates candidates;
      add_stronger_support(context, finding, candidates);
      return candidates;
    });
  }
  const auto named = [&](const std::string& name) {
    return std::find(finding.things.begin(), finding.things.end(), name) != finding.things.end();
  };
  const auto look = std::make_shared<const QuickLook>(context, finding);
  for (FreeRun& run : make_free_runs(context)) {
    const FreeRunFigures* figures = figures_of(result, run);
    if (!named(run.run->name) || figures == nullptr) continue;
    // A run may have several free legs.
    const bool other_leg =
        finding.check == "length window" && !(named(run.from.name) && named(run.to.name));
    if (other_leg) continue;
    const auto leg =
        std::make_shared<const Leg>(Leg{context, std::move(run), *figures, carriers, look});
    const auto add = [&](Candidates (*make)(const Leg&)) {
      stages.emplace_back([leg, make] { return make(*leg); });
    };
    add(lengths_of);
    if (finding.check == "support load") continue;
    if (leg->run.support || leg->run.festoon != nullptr) {
      stages.emplace_back([leg, &finding] {
        return hung_candidates(leg->context, leg->run, finding, leg->carriers);
      });
    }
    if (leg->run.support) continue;
    const bool window = finding.check == "length window";
    if (!window) add(short_arm_moves_of);
    add(hook_places_of);
    add(opening_moves_of);
    if (!window) add(long_arm_moves_of);
    add(mapped_places_of);
  }
  return stages;
}

}  // namespace bight::study
