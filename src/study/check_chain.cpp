#include "study/check_chain.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/tolerance.h"
#include "chain/chain_bodies.h"
#include "chain/span.h"
#include "line/bend_limit.h"
#include "study/context.h"
#include "study/lookup.h"

namespace bight::study {
namespace {

Finding finding_of(const plan::Chain& chain, Severity severity, std::string check) {
  return make_finding(std::move(check), severity, Certainty::formula, {chain.name});
}

/// The chain cannot be mounted or does not reach.
std::vector<Finding> check_loop(const Context& context, const plan::Chain& chain,
                                const chain::ChainFrame& frame) {
  using chain::ChainStatus;
  std::vector<Finding> findings;
  const chain::LoopResult& loop = frame.size;
  if (frame.status == ChainStatus::too_short) {
    Finding finding = finding_of(chain, Severity::stop, "chain length");
    finding.certainty = Certainty::proved;
    finding.what = chain.name + ": its " + std::to_string(loop.links) +
                   " links do not reach over the travel, " + context.at_least(-loop.spare_mm) +
                   " are missing";
    finding.value = loop.length_mm;
    finding.limit = loop.shortest_mm;
    finding.advice = "take at least " + std::to_string(loop.fewest_links) + " links (" +
                     context.length(loop.fewest_links * chain.pitch) + ")";
    findings.push_back(std::move(finding));
  } else if (frame.status == ChainStatus::bracket_too_high) {
    // What it does then is simulated: study/check_raised_chain.h.
  } else if (frame.status != ChainStatus::ok) {
    Finding finding = finding_of(chain, Severity::stop, "chain mounting");
    finding.what = chain.name + ": " + frame.problem;
    finding.value = frame.height_mm;
    finding.limit = 2.0 * chain.bend_radius;
    const double change = finding.limit - finding.value;
    if (frame.status == ChainStatus::bracket_too_low) {
      finding.advice = "move one bracket by " + context.length(std::abs(change)) +
                       " so that the runs lie " + context.length(finding.limit) +
                       " apart (2 x bend radius), or take a bend radius of " +
                       context.length(finding.value / 2.0);
    } else {
      finding.advice =
          "mount the brackets on two bodies that one joint moves against each other, now " +
          context.length(finding.value) + " apart across the chain";
    }
    findings.push_back(std::move(finding));
  } else if (loop.status == chain::LoopStatus::no_room) {
    Finding finding = finding_of(chain, Severity::stop, "chain room");
    finding.certainty = Certainty::proved;
    finding.what = chain.name + ": its bend needs " + context.length(loop.loop_room_mm) +
                   " beyond the bracket, " + context.length(chain.room.value_or(0.0)) + " are free";
    finding.value = loop.loop_room_mm;
    finding.limit = chain.room.value_or(0.0);
    finding.advice = "make room for " + context.at_least(finding.value - finding.limit) + " more";
    if (loop.most_links && *loop.most_links >= loop.fewest_links) {
      finding.advice += ", or take " + std::to_string(*loop.most_links) + " links instead of " +
                        std::to_string(loop.links);
    }
    findings.push_back(std::move(finding));
  }
  return findings;
}

/// Brackets that are out of line across the chain twist it. Only for a joint along a plan axis,
/// where the runs of a chain lie above or beside each other along another one.
std::vector<Finding> check_line_up(const Context& context, const plan::Chain& chain,
                                   const chain::ChainFrame& frame) {
  constexpr double k_twist_mm = 2.0;  // what a link's play takes up (common practice)
  std::vector<Finding> findings;
  const Vec3 along = glm::abs(frame.along);
  if (std::max({along.x, along.y, along.z}) < 0.999) return findings;
  Vec3 aside = frame.height_mm * frame.normal;
  const Vec3 size = glm::abs(aside);
  (size.x >= size.y && size.x >= size.z ? aside.x : size.y >= size.z ? aside.y : aside.z) = 0.0;
  if (!(glm::length(aside) > k_twist_mm)) return findings;
  Finding finding = finding_of(chain, Severity::act, "chain mounting");
  finding.value = glm::length(aside);
  finding.limit = k_twist_mm;
  finding.what = chain.name + ": its brackets are " + context.length(finding.value) +
                 " out of line, which twists it";
  finding.advice = "move the bracket on " + chain.moving_body + " by " +
                   context.length(finding.value) + " towards " + direction_text(-aside);
  findings.push_back(std::move(finding));
  return findings;
}

std::vector<Finding> check_bends(const Context& context, const plan::Chain& chain,
                                 const std::vector<const plan::Line*>& lines,
                                 const chain::FillResult& fill) {
  std::vector<Finding> findings;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const plan::Article& article = by_name(context.plan.articles, lines[i]->article);
    const line::BendLimit limit =
        line::bend_limit(article, line::BendUse::moving, context.plan.rules);
    const auto& centre = fill.lines[i].centre_mm;
    // Section coordinates: the inside of the bend is on top.
    const double offset = centre ? centre->y - 0.5 * chain.inner_height : 0.0;
    const double inner =
        line::inner_radius_in_chain(chain.bend_radius, article.outside_diameter, offset);
    if (inner + k_length_equal_mm >= limit.inner_mm) continue;
    Finding finding = finding_of(chain, Severity::act, "chain bend");
    finding.things = {chain.name, lines[i]->name};
    finding.what = chain.name + " bends " + lines[i]->name + " to an inner radius of " +
                   context.length(inner) + ", it allows " + context.length(limit.inner_mm) + " (" +
                   limit.because + ")";
    finding.value = inner;
    finding.limit = limit.inner_mm;
    finding.advice = "take a chain with a bend radius of at least " +
                     context.length(std::ceil(chain.bend_radius + limit.inner_mm - inner), 0) +
                     ", or a line that allows " + context.length(inner);
    findings.push_back(std::move(finding));
  }
  return findings;
}

/// A straight run that nothing carries, as it lies at its longest.
struct UnsupportedRun {
  double length_mm = 0.0;
  const char* which = "";
  bool on_side = false;
};

/// The upper run, or either one of a chain on its side. Standing runs carry themselves.
std::optional<UnsupportedRun> unsupported_run(const chain::ChainFrame& frame) {
  constexpr double k_level = 0.7;  // cosine of about 45 deg
  const chain::LoopResult& loop = frame.size;
  if (frame.status != chain::ChainStatus::ok) return {};
  if (frame.normal.z >= k_level) return {{loop.longest_straight_mm, "upper run"}};
  if (frame.normal.z <= -k_level) return {{loop.longest_fixed_run_mm, "upper run, the fixed one,"}};
  if (std::abs(frame.along.z) >= k_level) return {};
  return {{std::max(loop.longest_straight_mm, loop.longest_fixed_run_mm), "runs", true}};
}

/// Makers state spans of a chain that lies flat, so on its side less is known.
std::vector<Finding> check_on_side(const Context& context, const plan::Chain& chain,
                                   const UnsupportedRun& run, const chain::SpanLimit& span) {
  const bool too_long = span.span_mm && run.length_mm > *span.span_mm + k_length_equal_mm;
  Finding finding = finding_of(chain, too_long ? Severity::act : Severity::note, "chain span");
  finding.what = chain.name + " lies on its side: up to " + context.length(run.length_mm) +
                 " of its runs stretch freely" +
                 (too_long ? ", more than the " + context.length(*span.span_mm) +
                                 " that are allowed even to a chain that lies flat"
                           : ", and spans of makers are those of a chain that lies flat");
  finding.value = run.length_mm;
  finding.limit = span.span_mm.value_or(0.0);
  finding.advice =
      "carry both runs all along (a channel), or ask the maker for the unsupported "
      "length on its side";
  return {finding};
}

std::vector<Finding> check_span(const Context& context, const plan::Chain& chain,
                                const std::optional<UnsupportedRun>& run,
                                const chain::SpanLimit& span, double fill_mass) {
  std::vector<Finding> findings;
  if (!run) return findings;
  if (run->on_side) return check_on_side(context, chain, *run, span);
  const double straight = run->length_mm;
  if (!span.span_mm) {
    const bool heavy = span.status == chain::SpanStatus::too_heavy;
    Finding finding = finding_of(chain, heavy ? Severity::act : Severity::note, "chain span");
    finding.what = chain.name + ": whether " + context.length(straight) +
                   " may stretch unsupported is not known: " + span.because;
    finding.value = straight;
    finding.advice = heavy ? "lighten the fill of " + fixed(fill_mass, 2) + " kg/m to " +
                                 fixed(chain.load_span.back().x, 2) + " kg/m, or support the run"
                           : "ask the maker for the unsupported length at " + fixed(fill_mass, 2) +
                                 " kg/m of fill";
    findings.push_back(std::move(finding));
  } else if (straight > *span.span_mm + k_length_equal_mm) {
    Finding finding = finding_of(chain, Severity::act, "chain span");
    finding.what = chain.name + ": up to " + context.length(straight) + " of its " + run->which +
                   " stretch unsupported, " + context.length(*span.span_mm) + " are allowed at " +
                   fixed(fill_mass, 2) + " kg/m (" + span.because + ")";
    finding.value = straight;
    finding.limit = *span.span_mm;
    finding.advice = "support the last " + context.at_least(straight - *span.span_mm) +
                     " of the upper run, or take a stronger chain";
    findings.push_back(std::move(finding));
  }
  return findings;
}

std::vector<Finding> check_fill(const Context& context, const plan::Chain& chain,
                                const std::vector<const plan::Line*>& lines,
                                const chain::FillProblem& problem, const chain::FillResult& fill) {
  std::vector<Finding> findings;
  if (fill.status != chain::FillStatus::fits) {
    const bool none = fill.status == chain::FillStatus::does_not_fit;
    Finding finding = finding_of(chain, none ? Severity::stop : Severity::act, "chain fill");
    finding.what = chain.name + ": " + fill.problem;
    finding.value = chain.inner_width;
    finding.limit = chain.inner_width + fill.more_width_mm;
    if (none) {
      finding.advice = "take an inner section of " +
                       context.at_least(chain.inner_width + fill.more_width_mm) + " x " +
                       context.at_least(chain.inner_height + fill.more_height_mm);
      if (!chain.dividers.empty()) finding.advice += ", its dividers set to where room is missing";
    } else {
      double worst = 0.0;
      for (const chain::PlacedLine& line : fill.lines) {
        worst = std::max(worst, line.wanted_clearance_mm - line.clearance_mm);
      }
      finding.advice = "move the given places apart by " + context.at_least(worst) +
                       ", or leave them to the program";
    }
    findings.push_back(std::move(finding));
  }
  const double area_limit = context.plan.rules.fill_area_percent;
  if (fill.area_percent > area_limit) {
    Finding finding = finding_of(chain, Severity::act, "chain fill");
    finding.what = chain.name + ": lines take " + fixed(fill.area_percent, 0) +
                   " % of the inner section, " + fixed(area_limit, 0) + " % are common practice";
    finding.value = fill.area_percent;
    finding.limit = area_limit;
    finding.unit = "%";
    finding.advice = "take an inner width of at least " +
                     context.at_least(chain.inner_width * fill.area_percent / area_limit);
    findings.push_back(std::move(finding));
  }
  for (const chain::FillPair& pair : fill.pairs) {
    const plan::Line& first = *lines[pair.first];
    const plan::Line& second = *lines[pair.second];
    if (pair.power_by_signal) {
      const auto screened = [&](const plan::Line& line) {
        return by_name(context.plan.articles, line.article).screened;
      };
      const bool calm = screened(first) || screened(second);
      Finding finding =
          finding_of(chain, calm ? Severity::note : Severity::act, "power beside signal");
      finding.things = {chain.name, first.name, second.name};
      finding.what = chain.name + ": " + first.name + " lies " + context.length(pair.gap_mm) +
                     " beside " + second.name + " without a divider" +
                     (calm ? ", one of the two is screened" : "");
      finding.value = pair.gap_mm;
      finding.advice = "put a divider between them (" +
                       context.length(std::max(1.0, chain.divider_thickness)) +
                       " wide), or take a screened cable";
      findings.push_back(std::move(finding));
    }
    if (pair.climbs) {
      Finding finding = finding_of(chain, Severity::act, "chain fill");
      finding.things = {chain.name, first.name, second.name};
      finding.what = chain.name + ": " + first.name + " and " + second.name +
                     " can climb over each other and jam";
      const double sum = by_name(context.plan.articles, first.article).outside_diameter +
                         by_name(context.plan.articles, second.article).outside_diameter;
      finding.value = sum;
      finding.limit = problem.climb_ratio * chain.inner_height;
      finding.advice = "put a divider between them, or take an inner height below " +
                       context.length(sum / problem.climb_ratio) +
                       " (common practice: sum of diameters > " + fixed(problem.climb_ratio, 1) +
                       " x height)";
      findings.push_back(std::move(finding));
    }
  }
  for (const chain::ConnectorPass& pass : fill.connectors) {
    if (pass.through_empty && pass.through_others) continue;
    const plan::Line& line = *lines[pass.line];
    Finding finding =
        finding_of(chain, pass.through_empty ? Severity::note : Severity::act, "connector");
    finding.things = {chain.name, line.name};
    finding.what = chain.name + ": the connector of " + line.name +
                   (pass.through_empty ? " passes only before the other lines are in"
                                       : " does not pass through the section");
    finding.value = -pass.lacks_mm;
    finding.limit = 0.0;
    finding.advice =
        pass.through_empty
            ? "thread it first"
            : "fit the connector after threading, or take an inner section larger by " +
                  context.at_least(pass.lacks_mm) + ", or a chain that opens";
    findings.push_back(std::move(finding));
  }
  return findings;
}

}  // namespace

ChainCheck check_chains(const Context& context) {
  ChainCheck check;
  for (const plan::Chain& chain : context.plan.chains) {
    if (!chain.present) continue;
    const chain::ChainFrame frame = chain::chain_frame(chain, context.machine);
    const auto lines = lines_of_chain(context.plan, chain.name);
    const chain::FillProblem problem =
        chain::fill_problem(chain, context.plan.rules, lines, context.plan.articles);
    const chain::FillResult fill = chain::fill_section(problem);
    const chain::SpanLimit span = chain::allowed_span(chain.load_span, fill.mass_kg_per_m);
    append(check.findings, check_loop(context, chain, frame));
    append(check.findings, check_line_up(context, chain, frame));
    append(check.findings, check_bends(context, chain, lines, fill));
    const std::optional<UnsupportedRun> unsupported = unsupported_run(frame);
    append(check.findings, check_span(context, chain, unsupported, span, fill.mass_kg_per_m));
    append(check.findings, check_fill(context, chain, lines, problem, fill));
    ChainFigures figures{.name = chain.name,
                         .loop = frame.size,
                         .bend_radius_mm = chain.bend_radius,
                         .allowed_straight_mm = span.span_mm,
                         .fill = fill};
    if (unsupported) figures.unsupported_mm = unsupported->length_mm;
    for (const chain::FillLine& line : problem.lines) {
      figures.line_names.push_back(line.name);
      figures.line_diameters_mm.push_back(line.diameter_mm);
    }
    check.chains.push_back(std::move(figures));
  }
  return check;
}

}  // namespace bight::study
