#include "study/check_line.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "base/check.h"
#include "line/bend_limit.h"
#include "line/route.h"
#include "study/context.h"
#include "study/lookup.h"

namespace bight::study {
namespace {

Finding finding_of(const plan::Line& line, Severity severity, std::string check) {
  return make_finding(std::move(check), severity, Certainty::formula, {line.name});
}

/// Position of an anchor or support.
Vec3 held_at(const plan::Plan& plan, const std::string& name) {
  for (const plan::Support& support : plan.supports) {
    if (support.name == name) return support.at;
  }
  return by_name(plan.anchors, name).at;
}

/// What a leg needs along the arm of a boom: its line comes to the post and is tied along the arm.
double along_arm(const plan::Plan& plan, const std::string& name) {
  for (const plan::Support& support : plan.supports) {
    if (support.name == name && support.kind == plan::SupportKind::boom) return support.arm;
  }
  return 0.0;
}

/// Length of a clipped leg; findings when its corners do not work.
double clipped_length(const Context& context, const plan::Line& line, const plan::Article& article,
                      const plan::Leg& leg, std::vector<Finding>& findings) {
  const line::BendLimit limit = line::bend_limit(article, line::BendUse::fixed, context.plan.rules);
  const line::RouteProblem problem{leg.points, leg.bend_radius, limit.centre_line_mm};
  const line::RouteResult route = line::measure_route(problem);
  if (route.status == line::RouteStatus::ok) return route.length_mm;
  Finding finding = finding_of(line, Severity::act, "clipped bend");
  finding.things.push_back(leg.body);
  finding.what = line.name + " on " + leg.body + ": " + route.problem;
  if (route.status == line::RouteStatus::radius_too_small) {
    finding.what = line.name + " on " + leg.body + ": bent to " + context.length(leg.bend_radius) +
                   " at its centre line, it allows " + context.length(limit.centre_line_mm) + " (" +
                   limit.because + ")";
    finding.value = leg.bend_radius;
    finding.limit = limit.centre_line_mm;
    finding.advice = "bend it to at least " + context.at_least(limit.centre_line_mm, 0);
    findings.push_back(std::move(finding));
    return route.length_mm;
  }
  finding.severity = Severity::stop;
  finding.value = -route.missing_mm;
  finding.advice = "move the points of the leg apart by " + context.at_least(route.missing_mm) +
                   ", or bend it tighter than " + context.length(leg.bend_radius);
  findings.push_back(std::move(finding));
  return route.sharp_mm;
}

LegFigures measure_leg(const Context& context, const plan::Line& line, const plan::Article& article,
                       std::size_t index, const std::vector<ChainFigures>& chains,
                       const std::vector<FreeRunFigures>& free_runs,
                       std::vector<Finding>& findings) {
  const plan::Leg& leg = by_name(context.plan.runs, line.run).legs[index];
  switch (leg.way) {
    case plan::LegWay::fixed:
      return {"clipped to " + leg.body, clipped_length(context, line, article, leg, findings)};
    case plan::LegWay::chain:
      for (const ChainFigures& chain : chains) {
        if (chain.name == leg.chain) return {"in " + leg.chain, chain.loop.length_mm};
      }
      break;
    case plan::LegWay::free:
      for (const FreeRunFigures& run : free_runs) {
        if (run.run == line.run && run.leg == index + 1) {
          return {"free, " + run.from + " to " + run.to,
                  run.length_mm + along_arm(context.plan, run.from),
                  std::isfinite(run.min_mm) && run.min_mm <= run.max_mm};
        }
      }
      break;
  }
  BIGHT_CHECK(false && "validation has every chain and free leg of a line that is there");
  return {};
}

/// Where a leg begins and ends with all joints at zero, in the direction of the run. A chain may be
/// passed either way: both pins are returned and the caller takes the nearer one first.
std::pair<Vec3, Vec3> leg_ends(const plan::Plan& plan, const plan::Leg& leg) {
  switch (leg.way) {
    case plan::LegWay::fixed:
      return {leg.points.front(), leg.points.back()};
    case plan::LegWay::chain: {
      const plan::Chain& chain = by_name(plan.chains, leg.chain);
      return {chain.fixed_at, chain.moving_at};
    }
    case plan::LegWay::free:
      break;
  }
  return {held_at(plan, leg.from), held_at(plan, leg.to)};
}

/// Stretches of the run that no leg covers: the line would be cut short by them.
void check_gaps_in_run(const Context& context, const plan::Run& run,
                       std::vector<Finding>& findings) {
  constexpr double k_gap_mm = 1.0;  // what a tape measure tells apart
  std::optional<Vec3> end;
  for (std::size_t i = 0; i < run.legs.size(); ++i) {
    auto [first, last] = leg_ends(context.plan, run.legs[i]);
    if (run.legs[i].way == plan::LegWay::chain) {
      // Entered at the pin that is nearer to the leg before, or left at the one nearer to the next.
      const Vec3 beside = end                       ? *end
                          : i + 1 < run.legs.size() ? leg_ends(context.plan, run.legs[i + 1]).first
                                                    : first;
      const bool first_is_nearer = glm::distance(first, beside) <= glm::distance(last, beside);
      if (first_is_nearer != end.has_value()) std::swap(first, last);
    }
    if (end && glm::distance(*end, first) > k_gap_mm) {
      Finding finding = make_finding("gap in a run", Severity::act, Certainty::proved, {run.name});
      finding.value = glm::distance(*end, first);
      finding.what = run.name + ": " + context.length(finding.value) + " between the end of leg " +
                     std::to_string(i) + " and the start of leg " + std::to_string(i + 1) +
                     " are in no leg, so the lines are cut short by it";
      finding.advice = "end leg " + std::to_string(i) + " at " + point_text(first, context.unit) +
                       ", or add a leg between";
      findings.push_back(std::move(finding));
    }
    end = last;
  }
}

void check_drop(const Context& context, const plan::Line& line, const plan::Article& article,
                LineFigures& figures, std::vector<Finding>& findings) {
  if (!line.circuit) return;
  const line::DropProblem problem = line::drop_problem(*line.circuit, article, figures.cut_mm);
  const line::DropResult drop = line::voltage_drop(problem);
  if (drop.status != line::DropStatus::ok) {
    Finding finding = finding_of(line, Severity::act, "voltage drop");
    finding.what = line.name + ": its voltage drop is not known: " + drop.problem;
    finding.value = article.core_area;
    finding.unit = "mm^2";
    finding.advice = "give " + article.name + " a core area from IEC 60228, now " +
                     fixed(article.core_area, 2) + " mm^2";
    findings.push_back(std::move(finding));
    return;
  }
  figures.drop = drop;
  if (drop.drop_percent <= line.circuit->max_drop_percent) return;
  Finding finding = finding_of(line, Severity::act, "voltage drop");
  finding.value = drop.drop_percent;
  finding.limit = line.circuit->max_drop_percent;
  finding.unit = "%";
  finding.what = line.name + ": " + fixed(drop.drop_V, 2) + " V (" + fixed(drop.drop_percent, 2) +
                 " %) are lost over " + context.length(figures.cut_mm, 0) + " at " +
                 fixed(line.circuit->current, 1) + " A, " + fixed(finding.limit, 1) +
                 " % are allowed";
  finding.advice = "no class 5 conductor of IEC 60228 up to 35 mm^2 keeps " +
                   fixed(finding.limit, 1) + " %: raise the voltage";
  for (const line::Class5Row& row : line::class_5_table()) {
    if (row.area_mm2 <= article.core_area) continue;
    line::DropProblem larger = problem;
    larger.area_mm2 = row.area_mm2;
    const line::DropResult result = line::voltage_drop(larger);
    if (result.status != line::DropStatus::ok || result.drop_percent > finding.limit) continue;
    finding.advice = "take " + shortest(row.area_mm2) + " mm^2 conductors (" +
                     fixed(result.drop_percent, 2) +
                     " %); whether they carry the current by their heating is not checked here";
    break;
  }
  findings.push_back(std::move(finding));
}

}  // namespace

LineCheck check_lines(const Context& context, const std::vector<ChainFigures>& chains,
                      const std::vector<FreeRunFigures>& free_runs) {
  LineCheck check;
  std::vector<line::Piece> pieces;
  std::vector<line::ArticlePrice> prices;
  for (const plan::Article& article : context.plan.articles) {
    if (article.price) prices.push_back({article.name, *article.price});
  }
  for (const plan::Run& run : context.plan.runs) {
    if (lines_of_run(context.plan, run.name).empty()) continue;
    check_gaps_in_run(context, run, check.findings);
  }
  for (const plan::Line& line : context.plan.lines) {
    if (!line.present) continue;
    const plan::Article& article = by_name(context.plan.articles, line.article);
    LineFigures figures;
    figures.name = line.name;
    figures.article = line.article;
    line::CutLengthProblem problem;
    const std::size_t legs = by_name(context.plan.runs, line.run).legs.size();
    for (std::size_t i = 0; i < legs; ++i) {
      figures.legs.push_back(
          measure_leg(context, line, article, i, chains, free_runs, check.findings));
      problem.legs_mm.push_back(figures.legs.back().length_mm);
    }
    problem.service_loop_mm = line.service_loop;
    problem.termination_start_mm = line.termination_start;
    problem.termination_end_mm = line.termination_end;
    problem.spare_percent = context.plan.rules.spare_percent;
    problem.purchase_step_mm = article.purchase_step;
    const line::CutLengthResult cut = line::cut_length(problem);
    figures.net_mm = cut.net_mm;
    figures.cut_mm = cut.with_spare_mm;
    figures.buy_mm = cut.cut_mm;
    if (article.price) figures.price = *article.price * figures.buy_mm / 1000.0;
    check_drop(context, line, article, figures, check.findings);
    pieces.push_back({line.name, line.article, cut.cut_mm});
    check.lines.push_back(std::move(figures));
  }
  check.drums = line::drums(pieces, prices);
  return check;
}

}  // namespace bight::study
