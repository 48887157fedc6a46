// Ranges, pulls and weights that may keep a support inside its range.

#include <algorithm>
#include <cmath>

#include "plan/patch.h"
#include "study/lookup.h"
#include "study/suggest_candidate.h"
#include "study/suggest_edit.h"

namespace bight::study {
namespace {

constexpr double k_tape_mm = 10.0;

std::string pair_text(const Context& context, double low, double high) {
  return "[" + toml_measure(context, low) + ", " + toml_measure(context, high) + "]";
}

double outward(double value, bool high) {
  return (high ? std::ceil(value / k_tape_mm) : std::floor(value / k_tape_mm)) * k_tape_mm;
}

/// Another length of the free legs on the support.
void add_lengths(const Context& context, const plan::Support& support, double change_mm,
                 const StudyResult& result, Candidates& candidates) {
  for (const FreeRunFigures& run : result.free_runs) {
    if (run.from != support.name && run.to != support.name) continue;
    const double length = measurable(context, run.length_mm + change_mm);
    if (!(length > 0.0)) continue;
    candidates.push_back(
        {"another length",
         {set_length(context, leg_path(run.run, run.leg - 1) + "length", length,
                     free_length_text(context, run.run, run.from, run.to, length))}});
  }
}

/// A retractor that lets out more, or leaves less outside. One that does not reach says how much is
/// missing, one at its end how far beyond it would go.
void add_paid_out(const Context& context, const plan::Support& s, const Finding& finding, bool high,
                  Candidates& candidates) {
  const bool does_not_reach = finding.severity == Severity::stop;
  for (const double more : {0.0, 50.0, 200.0}) {
    double low_end = s.paid_out[0];
    double high_end = s.paid_out[1];
    if (does_not_reach) {
      high_end = outward(high_end + finding.value + more, true);
    } else if (high) {
      high_end = outward(finding.value + more, true);
    } else {
      low_end = std::max(k_tape_mm, outward(finding.value - more, false));
    }
    if (!(low_end < high_end)) return;
    candidates.push_back(
        {"another retractor",
         {{"support." + s.name + ".paid_out", pair_text(context, low_end, high_end),
           "take a " + s.name + " that lets out " + context.length(low_end, 0) + " to " +
               context.length(high_end, 0) + " of line"}}});
  }
}

}  // namespace

Candidates support_candidates(const Context& context, const StudyResult& result,
                              const Finding& finding) {
  Candidates candidates;
  for (const plan::Support& s : context.plan.supports) {
    if (finding.things.empty() || finding.things.front() != s.name) continue;
    const std::string path = "support." + s.name + ".";
    const bool high = finding.value > finding.limit;
    const double beyond = std::abs(finding.value - finding.limit);
    const bool does_not_reach = finding.severity == Severity::stop && finding.unit == "mm";
    const bool follows_length =
        s.kind != plan::SupportKind::festoon && s.kind != plan::SupportKind::retractor;
    if (does_not_reach && follows_length) {
      for (const double more : {20.0, 100.0}) {
        add_lengths(context, s, std::ceil(finding.value + more), result, candidates);
      }
    }
    switch (s.kind) {
      case plan::SupportKind::trolley: {
        for (const double more : {0.0, 20.0, 100.0}) {
          const double end = outward(finding.value + (high ? more : -more), high);
          const double low_end = high ? s.range[0] : end;
          const double high_end = high ? end : s.range[1];
          if (!(low_end < high_end)) break;
          candidates.push_back(
              {"a longer track",
               {{path + "range", pair_text(context, low_end, high_end),
                 "make the track of " + s.name + " " +
                     context.length(std::abs(end - finding.limit), 0) + " longer at its " +
                     direction_text(high ? *s.track : -*s.track) + " end"}}});
        }
        break;
      }
      case plan::SupportKind::boom: {
        for (const double more : {0.0, 5.0, 20.0}) {
          if (finding.unit != "deg") break;
          const double end =
              high ? std::ceil(finding.value + more) : std::floor(finding.value - more);
          const double low_end = high ? s.swing[0] : end;
          const double high_end = high ? end : s.swing[1];
          if (!(low_end < high_end && high_end - low_end <= 360.0)) break;
          candidates.push_back(
              {"a stop elsewhere",
               {{path + "swing", "[" + shortest(low_end) + ", " + shortest(high_end) + "]",
                 "let " + s.name + " swing to " + shortest(end) + " degrees"}}});
        }
        break;
      }
      case plan::SupportKind::pulley:
        if (finding.unit == "kg" && finding.limit > finding.value) {
          const double kg = std::ceil(10.0 * finding.limit) / 10.0;
          candidates.push_back(
              {"a heavier weight",
               {{path + "weight", shortest(kg), "hang " + fixed(kg, 1) + " kg on " + s.name}}});
        } else if (finding.unit == "mm") {
          add_lengths(context, s, high ? std::ceil(beyond) : -std::ceil(beyond), result,
                      candidates);
        }
        break;
      case plan::SupportKind::retractor:
        if (finding.unit == "N" && finding.limit > finding.value) {
          const double pull = std::ceil(finding.limit);
          candidates.push_back(
              {"a stronger retractor",
               {{path + "pull", shortest(pull),
                 "take a " + s.name + " that pulls with " + fixed(pull, 0) + " N"}}});
        } else if (finding.unit == "mm") {
          add_paid_out(context, s, finding, high, candidates);
        }
        break;
      case plan::SupportKind::cord:
        for (const double share : {1.25, 1.5, 2.0, 3.0, 5.0}) {
          const double stiffness = std::ceil(share * s.cord_stiffness);
          candidates.push_back({"a stiffer cord",
                                {{path + "cord_stiffness", shortest(stiffness),
                                  "take a " + s.name + " of " + fixed(stiffness, 0) + " N/m"}}});
        }
        break;
      case plan::SupportKind::festoon: {
        const int loops = static_cast<int>(finding.limit / s.stacked_pitch);
        if (loops >= 1) {
          candidates.push_back(
              {"fewer loops",
               {set_whole(path + "loops", loops,
                          "take " + std::to_string(loops) + " loops on " + s.name)}});
        }
        if (s.track) {
          const Vec3 to = s.at - std::ceil(beyond / k_tape_mm) * k_tape_mm * *s.track;
          candidates.push_back(
              {s.name + " farther back",
               move_hold(context, s.name, to, context.length(beyond, 0) + " more room to stack")});
        }
        break;
      }
      case plan::SupportKind::hook:
        break;
    }
  }
  return candidates;
}

}  // namespace bight::study
