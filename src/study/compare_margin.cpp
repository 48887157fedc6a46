#include "study/compare_margin.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "line/bend_limit.h"
#include "study/lookup.h"

namespace bight::study {
namespace {

/// Keeps the worst margin of each check.
class Worst {
 public:
  void add(Margin margin) {
    for (Margin& kept : margins_) {
      if (kept.check != margin.check) continue;
      // A margin that is not a number must not hide behind a good one.
      if (!std::isnan(kept.margin) && !(margin.margin >= kept.margin)) kept = std::move(margin);
      return;
    }
    margins_.push_back(std::move(margin));
  }
  void more_is_better(const char* check, std::string what, double value, double limit,
                      const char* unit = "mm") {
    add({check, std::move(what), value, limit, value - limit, unit});
  }
  void less_is_better(const char* check, std::string what, double value, double limit,
                      const char* unit = "mm") {
    add({check, std::move(what), value, limit, limit - value, unit});
  }
  std::vector<Margin> take() { return std::move(margins_); }

 private:
  std::vector<Margin> margins_;
};

void add_free_run(const plan::Plan& plan, const FreeRunFigures& run, Worst& worst) {
  const std::string name = run.run + ", " + run.from + " to " + run.to;
  if (!run.clearance_to.empty()) {
    worst.more_is_better("free line clearance", name + " - " + run.clearance_to, run.clearance_mm,
                         run.clearance_wanted_mm);
  }
  if (!(run.min_mm <= run.max_mm)) {
    worst.more_is_better("length window", name + ": no length works", run.max_mm, run.min_mm);
  } else if (!run.length_given) {
    // The program chooses a length that fits: what counts is how far off one may cut.
    worst.more_is_better("length window", name + ": most over least", run.max_mm, run.min_mm);
  } else {
    worst.more_is_better("length window", name + ": over the least", run.length_mm, run.min_mm);
    worst.less_is_better("length window", name + ": under the most", run.length_mm, run.max_mm);
  }
  if (!run.bend_line.empty()) {
    worst.more_is_better("line bend", run.bend_line + " in " + name, run.radius_mm,
                         run.allowed_radius_mm);
  }
  const auto lines = lines_of_run(plan, run.run);
  for (const plan::Line* line : lines) {
    const auto& most = by_name(plan.articles, line->article).max_pull;
    if (most) worst.less_is_better("line pull", line->name, run.greatest_pull_N, *most, "N");
  }
}

/// The load that the check holds against the limit, and how far inside its range a support stays.
void add_support(const SupportFigures& s, Worst& worst) {
  if (s.max_load_N) worst.less_is_better("support load", s.name, s.load_N, *s.max_load_N, "N");
  if (!s.moves || s.low_pose.empty()) return;
  if (s.range_low) {
    worst.more_is_better("support range", s.name, s.low, *s.range_low, s.unit.c_str());
  }
  if (s.range_high) {
    worst.less_is_better("support range", s.name, s.high, *s.range_high, s.unit.c_str());
  }
}

void add_chain(const plan::Plan& plan, const ChainFigures& figures, Worst& worst) {
  const plan::Chain& chain = by_name(plan.chains, figures.name);
  worst.more_is_better("chain length", chain.name, figures.loop.length_mm,
                       figures.loop.shortest_mm);
  if (chain.room) {
    worst.less_is_better("chain room", chain.name, figures.loop.loop_room_mm, *chain.room);
  }
  for (std::size_t i = 0; i < figures.fill.lines.size(); ++i) {
    const plan::Line& line = by_name(plan.lines, figures.line_names[i]);
    const plan::Article& article = by_name(plan.articles, line.article);
    const auto& centre = figures.fill.lines[i].centre_mm;
    const double offset = centre ? centre->y - 0.5 * chain.inner_height : 0.0;
    worst.more_is_better(
        "chain bend", line.name + " in " + chain.name,
        line::inner_radius_in_chain(chain.bend_radius, article.outside_diameter, offset),
        line::bend_limit(article, line::BendUse::moving, plan.rules).inner_mm);
  }
  for (std::size_t i = 0; i < figures.fill.lines.size(); ++i) {
    const chain::PlacedLine& placed = figures.fill.lines[i];
    if (!placed.centre_mm) continue;
    worst.more_is_better("room in chain", figures.line_names[i] + " in " + chain.name,
                         placed.clearance_mm, placed.wanted_clearance_mm);
  }
  if (figures.fill.status == chain::FillStatus::does_not_fit) {
    worst.more_is_better("room in chain", chain.name + ": inner width", chain.inner_width,
                         chain.inner_width + figures.fill.more_width_mm);
    worst.more_is_better("room in chain", chain.name + ": inner height", chain.inner_height,
                         chain.inner_height + figures.fill.more_height_mm);
  }
  if (figures.unsupported_mm && figures.allowed_straight_mm) {
    worst.less_is_better("chain span", chain.name, *figures.unsupported_mm,
                         *figures.allowed_straight_mm);
  }
  if (figures.near && !figures.near->clearance_to.empty()) {
    worst.more_is_better("chain clearance", chain.name + " - " + figures.near->clearance_to,
                         figures.near->clearance_mm, figures.near->clearance_wanted_mm);
  }
  worst.less_is_better("chain fill", chain.name, figures.fill.area_percent,
                       plan.rules.fill_area_percent, "%");
}

void add_line(const plan::Plan& plan, const LineFigures& figures, Worst& worst) {
  const plan::Line& line = by_name(plan.lines, figures.name);
  const plan::Article& article = by_name(plan.articles, line.article);
  for (const plan::Leg& leg : by_name(plan.runs, line.run).legs) {
    if (leg.way != plan::LegWay::fixed || leg.points.size() < 3) continue;
    worst.more_is_better(
        "clipped bend", line.name + " on " + leg.body, leg.bend_radius,
        line::bend_limit(article, line::BendUse::fixed, plan.rules).centre_line_mm);
  }
  if (figures.drop && line.circuit) {
    worst.less_is_better("voltage drop", line.name, figures.drop->drop_percent,
                         line.circuit->max_drop_percent, "%");
  }
}

/// From the soft limit out to the trip, from there to the hard stop or the end of the overtravel
/// against the way to stop, and what the switch stands against what it gets at the stop.
void add_switch(const plan::Plan& plan, const SwitchFigures& figures, Worst& worst) {
  if (!figures.trip) return;
  const bool low = by_name(plan.switches, figures.name).end == plan::End::low;
  const double outward = low ? -1.0 : 1.0;
  worst.more_is_better("switch", figures.name + ": trips outside the soft limit by",
                       outward * (*figures.trip - figures.soft_limit), 0.0);
  if (figures.room_mm && figures.stopping_mm) {
    worst.more_is_better("switch", figures.name + ": room to stop", *figures.room_mm,
                         *figures.stopping_mm);
  }
  if (figures.driven_past_trip_mm && figures.overtravel_mm) {
    worst.less_is_better("switch", figures.name + ": pushed past its trip at the hard stop",
                         *figures.driven_past_trip_mm, *figures.overtravel_mm);
  }
}

/// Checks that give figures in their findings alone.
void add_finding(const Finding& finding, Worst& worst) {
  if (finding.severity == Severity::note) return;
  const std::string what = finding.things.empty() ? finding.what : finding.things.front();
  const auto margin = [&](double m) {
    worst.add({finding.check, what, finding.value, finding.limit, m, finding.unit});
  };
  if (finding.check == "reach") margin(finding.limit - finding.value);
  if (finding.check == "chain mounting") margin(-std::abs(finding.value - finding.limit));
  const std::array more_is_better{"connector", "crush gap", "bend between legs", "bend at a hold",
                                  "bend over a wheel"};
  if (std::find(more_is_better.begin(), more_is_better.end(), finding.check) !=
      more_is_better.end()) {
    margin(finding.value - finding.limit);
  }
}

}  // namespace

std::vector<Margin> worst_margins(const plan::Plan& plan, const StudyResult& result) {
  Worst worst;
  for (const ClearancePair& pair : result.clearance) {
    worst.more_is_better("clearance", pair.a + " - " + pair.b, pair.lower_mm, pair.wanted_mm);
  }
  for (const FreeRunFigures& run : result.free_runs) add_free_run(plan, run, worst);
  for (const SupportFigures& support : result.supports) add_support(support, worst);
  for (const ChainFigures& chain : result.chains) add_chain(plan, chain, worst);
  for (const LineFigures& line : result.lines) add_line(plan, line, worst);
  for (const SwitchFigures& s : result.switches) add_switch(plan, s, worst);
  for (const Finding& finding : result.findings) add_finding(finding, worst);
  return worst.take();
}

}  // namespace bight::study
