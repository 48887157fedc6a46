#include "study/compare.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <tuple>
#include <utility>

#include "study/compare_margin.h"
#include "study/lookup.h"

namespace bight::study {
namespace {

bool moves(const machine::Machine& machine, const std::string& body) {
  const auto& motion = machine.bodies[machine.body_index(body)].motion;
  return std::any_of(motion.begin(), motion.end(), [](const Vec3& m) { return m != Vec3(0.0); });
}

const plan::Support* support_of(const plan::Plan& plan, const std::string& name) {
  const auto found = std::find_if(plan.supports.begin(), plan.supports.end(),
                                  [&](const plan::Support& s) { return s.name == name; });
  return found == plan.supports.end() ? nullptr : &*found;
}

/// Body that holds an end of a free leg.
const std::string& body_of_hold(const plan::Plan& plan, const std::string& name) {
  const plan::Support* support = support_of(plan, name);
  return support != nullptr ? support->body : by_name(plan.anchors, name).body;
}

/// Bodies at both ends of a leg.
std::pair<std::string, std::string> end_bodies(const plan::Plan& plan, const plan::Leg& leg) {
  switch (leg.way) {
    case plan::LegWay::chain: {
      const plan::Chain& chain = by_name(plan.chains, leg.chain);
      return {chain.fixed_body, chain.moving_body};
    }
    case plan::LegWay::free:
      return {body_of_hold(plan, leg.from), body_of_hold(plan, leg.to)};
    case plan::LegWay::fixed:
      break;
  }
  return {leg.body, leg.body};
}

double moving_share(const plan::Plan& plan, const machine::Machine& machine, const plan::Leg& leg) {
  const auto [start, end] = end_bodies(plan, leg);
  return 0.5 * (moves(machine, start) ? 1.0 : 0.0) + 0.5 * (moves(machine, end) ? 1.0 : 0.0);
}

double moving_mass(const plan::Plan& plan, const machine::Machine& machine,
                   const StudyResult& result) {
  double kg = 0.0;
  for (const LineFigures& figures : result.lines) {
    const plan::Line& line = by_name(plan.lines, figures.name);
    const double per_m = by_name(plan.articles, line.article).mass;
    const std::vector<plan::Leg>& legs = by_name(plan.runs, line.run).legs;
    for (std::size_t i = 0; i < legs.size(); ++i) {
      kg += per_m * figures.legs[i].length_mm / 1000.0 * moving_share(plan, machine, legs[i]);
    }
  }
  for (const ChainFigures& figures : result.chains) {
    const plan::Chain& chain = by_name(plan.chains, figures.name);
    const double share = 0.5 * (moves(machine, chain.fixed_body) ? 1.0 : 0.0) +
                         0.5 * (moves(machine, chain.moving_body) ? 1.0 : 0.0);
    kg += chain.mass * figures.loop.length_mm / 1000.0 * share;
  }
  return kg;
}

double head_pull(const plan::Plan& plan, const std::string& head, const StudyResult& result) {
  double pull = 0.0;
  for (const FreeRunFigures& run : result.free_runs) {
    const bool start = body_of_hold(plan, run.from) == head;
    const bool end = body_of_hold(plan, run.to) == head;
    if (start == end) continue;
    pull += run.greatest_pull_N * static_cast<double>(lines_of_run(plan, run.run).size());
  }
  return pull;
}

std::size_t clips_of(const plan::Leg& leg, double spacing_mm) {
  double length = 0.0;
  for (std::size_t i = 0; i + 1 < leg.points.size(); ++i) {
    length += glm::length(leg.points[i + 1] - leg.points[i]);
  }
  return static_cast<std::size_t>(std::ceil(length / spacing_mm)) + 1;
}

ToolRemoval tool_removal(const plan::Plan& plan, const std::string& head,
                         const StudyResult& result) {
  ToolRemoval removal;
  for (const LineFigures& figures : result.lines) {
    const plan::Line& line = by_name(plan.lines, figures.name);
    const std::vector<plan::Leg>& legs = by_name(plan.runs, line.run).legs;
    if (legs.empty() || end_bodies(plan, legs.back()).second != head) continue;
    if (line.plug) {
      removal.pulled_off.push_back(line.name);
      continue;
    }
    removal.unthreaded.push_back(line.name);
    for (std::size_t i = 0; i < legs.size(); ++i) {
      switch (legs[i].way) {
        case plan::LegWay::chain:
          removal.minutes +=
              plan.rules.unthread_minutes_per_metre * figures.legs[i].length_mm / 1000.0;
          break;
        case plan::LegWay::fixed:
          removal.minutes += plan.rules.unclip_minutes *
                             static_cast<double>(clips_of(legs[i], plan.rules.clip_spacing));
          break;
        case plan::LegWay::free:
          removal.minutes += 2.0 * plan.rules.unclip_minutes;
          break;
      }
    }
  }
  return removal;
}

Mounting mounting_of(const plan::Plan& plan) {
  Mounting mounting;
  std::vector<const plan::Leg*> clipped;
  std::set<std::string> holds;
  for (const plan::Run& run : plan.runs) {
    if (lines_of_run(plan, run.name).empty()) continue;
    for (const plan::Leg& leg : run.legs) {
      if (leg.way == plan::LegWay::free) holds.insert({leg.from, leg.to});
      if (leg.way != plan::LegWay::fixed) continue;
      const bool shared = std::any_of(clipped.begin(), clipped.end(), [&](const plan::Leg* other) {
        return other->body == leg.body && other->points == leg.points;
      });
      if (shared) continue;
      clipped.push_back(&leg);
      mounting.clips += clips_of(leg, plan.rules.clip_spacing);
    }
  }
  if (plan.frame && plan.frame->bed_height > 0.0) mounting.from_ladder = 0;
  for (const std::string& name : holds) {
    const plan::Support* support = support_of(plan, name);
    ++(support != nullptr ? mounting.supports : mounting.anchors);
    const Vec3 at = support != nullptr ? support->at : by_name(plan.anchors, name).at;
    if (mounting.from_ladder && body_of_hold(plan, name) == plan::k_ground &&
        at.z + plan.frame->bed_height > k_standing_reach_mm) {
      ++*mounting.from_ladder;
    }
  }
  for (const plan::Chain& chain : plan.chains) mounting.brackets += chain.present ? 2 : 0;
  mounting.holes = mounting.clips * k_holes_per_clip + mounting.supports * k_holes_per_support +
                   mounting.anchors * k_holes_per_anchor + mounting.brackets * k_holes_per_bracket;
  return mounting;
}

/// Free runs whose surroundings were sampled, and checks whose findings were.
std::vector<std::string> sampled_of(const StudyResult& result) {
  std::vector<std::string> sampled;
  for (const FreeRunFigures& run : result.free_runs) {
    if (run.clearance_certainty != Certainty::sampled) continue;
    sampled.push_back("what " + run.run + ", " + run.from + " to " + run.to + ", comes near to");
  }
  for (const Finding& finding : result.findings) {
    if (finding.certainty != Certainty::sampled || finding.check == "free line clearance") continue;
    const std::string text =
        finding.check + (finding.things.empty() ? "" : " of " + finding.things.front());
    if (std::find(sampled.begin(), sampled.end(), text) == sampled.end()) sampled.push_back(text);
  }
  return sampled;
}

}  // namespace

OptionFigures option_figures(const plan::Plan& plan, const machine::Machine& machine,
                             const StudyResult& result) {
  OptionFigures figures;
  figures.option = result.option;
  figures.about = result.about;
  figures.verdict = result.verdict;
  for (const Finding& finding : result.findings) {
    if (finding.severity == Severity::stop) figures.stops.push_back(finding.what);
    if (finding.severity == Severity::act) figures.acts.push_back(finding.what);
  }
  figures.margins = worst_margins(plan, result);
  figures.price = 0.0;
  for (const LineFigures& line : result.lines) {
    figures.buy_mm += line.buy_mm;
    figures.price = figures.price && line.price
                        ? std::optional<double>(*figures.price + *line.price)
                        : std::nullopt;
  }
  figures.moving_kg = moving_mass(plan, machine, result);
  if (!machine.tool.body.empty()) {
    figures.head_pull_N = head_pull(plan, machine.tool.body, result);
    figures.removal = tool_removal(plan, machine.tool.body, result);
  }
  figures.mounting = mounting_of(plan);
  figures.sampled = sampled_of(result);
  return figures;
}

Comparison compare_options(std::vector<OptionFigures> options) {
  const auto key = [](const OptionFigures& o) {
    return std::make_tuple(static_cast<int>(o.verdict), o.stops.size(), o.acts.size(),
                           !o.price.has_value(), o.price.value_or(0.0), o.moving_kg);
  };
  std::stable_sort(options.begin(), options.end(),
                   [&](const OptionFigures& a, const OptionFigures& b) { return key(a) < key(b); });
  return {std::move(options),
          "by verdict (clear before act before stop), then fewer stops, fewer findings to act on, "
          "lower price of the lines to buy (unknown last), less moving mass, then the order of the "
          "plan"};
}

}  // namespace bight::study
