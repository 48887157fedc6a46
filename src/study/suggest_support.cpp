// Ranges, pulls and weights that may keep a support inside its range; ends of legs that close a gap
// in a run.

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
                 const StudyResult& result, std::vector<Candidate>& candidates) {
  for (const FreeRunFigures& run : result.free_runs) {
    if (run.from != support.name && run.to != support.name) continue;
    const double length = measurable(context, run.length_mm + change_mm);
    if (!(length > 0.0)) continue;
    candidates.push_back({"another length",
                          {set_length(context, leg_path(run.run, run.leg - 1) + "length", length,
                                      "cut " + run.run + ", " + run.from + " to " + run.to +
                                          " to " + context.length(length, 0))}});
  }
}

}  // namespace

std::vector<Candidate> support_candidates(const Context& context, const StudyResult& result,
                                          const Finding& finding) {
  std::vector<Candidate> candidates;
  for (const plan::Support& s : context.plan.supports) {
    if (finding.things.empty() || finding.things.front() != s.name) continue;
    const std::string path = "support." + s.name + ".";
    const bool high = finding.value > finding.limit;
    const double beyond = std::abs(finding.value - finding.limit);
    const bool does_not_reach = finding.severity == Severity::stop && finding.unit == "mm";
    if (does_not_reach && s.kind != plan::SupportKind::festoon) {
      for (const double more : {20.0, 100.0}) {
        add_lengths(context, s, std::ceil(finding.value + more), result, candidates);
      }
    }
    switch (s.kind) {
      case plan::SupportKind::trolley: {
        const double end = outward(finding.value, high);
        const double low_end = high ? s.range[0] : end;
        const double high_end = high ? end : s.range[1];
        if (!(low_end < high_end)) break;
        candidates.push_back({"a longer track",
                              {{path + "range", pair_text(context, low_end, high_end),
                                "let the track of " + s.name + " end " +
                                    context.length(std::abs(end), 0) + " from its mark"}}});
        break;
      }
      case plan::SupportKind::boom: {
        const double end = high ? std::ceil(finding.value) : std::floor(finding.value);
        const double low_end = high ? s.swing[0] : end;
        const double high_end = high ? end : s.swing[1];
        if (!(low_end < high_end && high_end - low_end <= 360.0)) break;
        candidates.push_back(
            {"a stop elsewhere",
             {{path + "swing", "[" + shortest(low_end) + ", " + shortest(high_end) + "]",
               "let " + s.name + " swing to " + shortest(end) + " degrees"}}});
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
          const double end = outward(finding.value, high);
          const double low_end = high ? s.paid_out[0] : std::max(k_tape_mm, end);
          const double high_end = high ? end : s.paid_out[1];
          if (!(low_end < high_end)) break;
          candidates.push_back(
              {"another retractor",
               {{path + "paid_out", pair_text(context, low_end, high_end),
                 "take a " + s.name + " that lets out " + context.length(low_end, 0) + " to " +
                     context.length(high_end, 0)}}});
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

std::vector<Candidate> gap_in_run_candidates(const Context& context, const Finding& finding) {
  std::vector<Candidate> candidates;
  if (finding.things.empty()) return candidates;
  const auto place_of = [&](const plan::Leg& leg, bool start) -> std::vector<Vec3> {
    switch (leg.way) {
      case plan::LegWay::fixed:
        return {start ? leg.points.front() : leg.points.back()};
      case plan::LegWay::chain: {
        const plan::Chain& chain = by_name(context.plan.chains, leg.chain);
        return {chain.fixed_at, chain.moving_at};
      }
      case plan::LegWay::free:
        break;
    }
    const std::string& name = start ? leg.from : leg.to;
    for (const plan::Support& support : context.plan.supports) {
      if (support.name == name) return {support.at};
    }
    return {by_name(context.plan.anchors, name).at};
  };
  const plan::Run& run = by_name(context.plan.runs, finding.things.front());
  for (std::size_t i = 0; i + 1 < run.legs.size(); ++i) {
    const std::vector<Vec3> ends = place_of(run.legs[i], false);
    const std::vector<Vec3> starts = place_of(run.legs[i + 1], true);
    // The pair whose distance is the gap that was found.
    for (const Vec3& end : ends) {
      for (const Vec3& start : starts) {
        if (std::abs(glm::distance(end, start) - finding.value) > 0.1) continue;
        const auto move_point = [&](std::size_t leg, bool last, const Vec3& to) {
          if (run.legs[leg].way != plan::LegWay::fixed) return;
          std::vector<Vec3> points = run.legs[leg].points;
          (last ? points.back() : points.front()) = to;
          std::string text = "[";
          for (const Vec3& p : points)
            text += (text.size() > 1 ? ", " : "") + toml_place(context, p);
          candidates.push_back({"a leg that ends where the next one begins",
                                {{leg_path(run.name, leg) + "points", text + "]",
                                  (last ? "end leg " : "begin leg ") + std::to_string(leg + 1) +
                                      " of " + run.name + " at " + point_text(to, context.unit)}}});
        };
        move_point(i, true, start);
        move_point(i + 1, false, end);
      }
    }
  }
  return candidates;
}

}  // namespace bight::study
