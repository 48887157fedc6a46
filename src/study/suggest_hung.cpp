// Another size or another place of the support that a free leg hangs on.

#include <algorithm>
#include <cmath>

#include "study/hook_surface.h"
#include "study/suggest_candidate.h"
#include "study/suggest_edit.h"

namespace bight::study {
namespace {

constexpr double k_tape_mm = 10.0;

/// A longer boom, and a shorter one.
void add_arms(const Context& context, const plan::Support& s, Candidates& candidates) {
  for (const double more : {100.0, 200.0, -100.0, 400.0, -200.0, 700.0}) {
    const double arm = measurable(context, s.arm + more, k_tape_mm);
    if (!(arm > k_tape_mm)) continue;
    candidates.push_back(
        {"another arm",
         {set_length(context, "support." + s.name + ".arm", arm,
                     "take an arm of " + context.length(arm, 0) + " for " + s.name)}});
  }
}

/// A retractor that lets out as much as the leg needs.
void add_paid_out(const Context& context, const plan::Support& s, const Finding& finding,
                  Candidates& candidates) {
  const double missing = finding.limit - finding.value;
  if (finding.check != "length window" || !(missing > 0.0) || !std::isfinite(missing)) return;
  for (const double more : {20.0, 100.0, 300.0}) {
    const double out = std::ceil((s.paid_out[1] + missing + more) / k_tape_mm) * k_tape_mm;
    candidates.push_back(
        {"another retractor",
         {{"support." + s.name + ".paid_out",
           "[" + toml_measure(context, s.paid_out[0]) + ", " + toml_measure(context, out) + "]",
           "take a " + s.name + " that lets out " + context.length(out, 0) + " of line"}}});
  }
}

/// Room for the weight to hang lower.
void add_drop(const Context& context, const plan::Support& s, Candidates& candidates) {
  for (const double more : {100.0, 300.0, 800.0}) {
    const double most = s.drop[1] + more;
    candidates.push_back(
        {"more room for the weight",
         {{"support." + s.name + ".drop",
           "[" + toml_measure(context, s.drop[0]) + ", " + toml_measure(context, most) + "]",
           "leave the weight of " + s.name + " room to hang " + context.length(most, 0) +
               " below it"}}});
  }
}

/// Fewer loops hang wider, more hang less deep.
void add_loops(const plan::Support& s, Candidates& candidates) {
  for (const int change : {-1, 1, -2, -3, 2, -4, -6, -8}) {
    if (s.loops + change < 1) continue;
    candidates.push_back(
        {"another number of loops",
         {set_whole("support." + s.name + ".loops", s.loops + change,
                    "take " + std::to_string(s.loops + change) + " loops on " + s.name)}});
  }
}

/// Straight moves of the support; the tow of a festoon stays level with its other end.
void add_moves(const Context& context, const FreeRun& run, const plan::Support& s,
               const Carriers& carriers, Candidates& candidates) {
  // Each is looked at for long, but for a festoon.
  const std::vector<double> distances =
      run.festoon != nullptr ? std::vector{50.0, 100.0, 200.0, 400.0} : std::vector{100.0, 300.0};
  for (const double distance : distances) {
    for (const Vec3& direction : {Vec3(0, 0, 1), Vec3(0, 0, -1), Vec3(1, 0, 0), Vec3(-1, 0, 0),
                                  Vec3(0, 1, 0), Vec3(0, -1, 0)}) {
      const Vec3 shift = distance * direction;
      const bool on_ground = s.body == plan::k_ground;
      if (on_ground && !can_be_held_at(context, s.at, s.at + shift)) continue;
      const std::string by = context.length(distance, 0) + " towards " + direction_text(direction);
      if (run.festoon != nullptr) {
        const std::string& tow = run.from.name == s.name ? run.to.name : run.from.name;
        add_ways(carriers.move_holds({s.name, tow}, shift, "by " + by), s.name + " with its tow",
                 candidates);
      } else {
        add_ways(carriers.move_hold(s.name, s.at + shift, by), s.name + " along one axis",
                 candidates);
      }
    }
  }
}

}  // namespace

Candidates hung_candidates(const Context& context, const FreeRun& run, const Finding& finding,
                           const Carriers& carriers) {
  Candidates candidates;
  for (const plan::Support& s : context.plan.supports) {
    if (s.name != run.from.name && s.name != run.to.name) continue;
    if (s.kind == plan::SupportKind::hook) continue;
    if (s.kind == plan::SupportKind::boom) add_arms(context, s, candidates);
    if (s.kind == plan::SupportKind::retractor) add_paid_out(context, s, finding, candidates);
    if (s.kind == plan::SupportKind::pulley) add_drop(context, s, candidates);
    if (s.kind == plan::SupportKind::festoon) add_loops(s, candidates);
    add_moves(context, run, s, carriers, candidates);
  }
  return candidates;
}

}  // namespace bight::study
