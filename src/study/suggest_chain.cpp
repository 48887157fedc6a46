// Links, brackets, bend radius and section that may mend a drag chain.

#include <algorithm>
#include <cmath>

#include "chain/chain_frame.h"
#include "line/bend_limit.h"
#include "study/lookup.h"
#include "study/suggest_candidate.h"
#include "study/suggest_edit.h"

namespace bight::study {
namespace {

using Changes = std::vector<PlanChange>;

void append(Changes& all, Changes more) {
  std::move(more.begin(), more.end(), std::back_inserter(all));
}

std::string key(const plan::Chain& chain, const char* name) {
  return "chain." + chain.name + "." + name;
}

/// The links that a changed chain needs, when the plan gives a number.
void follow_links(const Context& context, const plan::Chain& changed, Changes& changes) {
  if (!changed.links) return;
  plan::Chain any = changed;
  any.links.reset();
  const chain::ChainFrame frame = chain::chain_frame(any, context.machine);
  if (frame.status != chain::ChainStatus::ok || frame.size.links == *changed.links) return;
  changes.push_back(
      set_whole(key(changed, "links"), frame.size.links,
                "take " + std::to_string(frame.size.links) + " links of " + changed.name));
}

/// What the generators need of one chain.
struct Mounted {
  const Context& context;
  const plan::Chain& chain;
  const Carriers& carriers;
};

/// The chain with other figures, one of its brackets moved; the move follows `changes`.
void add_bracket_move(const Mounted& m, plan::Chain changed, Bracket bracket, const Vec3& shift,
                      const std::string& why, const std::string& kind, const Changes& changes,
                      Candidates& candidates) {
  (bracket == Bracket::fixed ? changed.fixed_at : changed.moving_at) += shift;
  for (Changes& way : m.carriers.move_bracket(m.chain, bracket, shift, why)) {
    Changes all = changes;
    append(all, std::move(way));
    follow_links(m.context, changed, all);
    candidates.push_back({kind, std::move(all)});
  }
}

/// Another bend radius, with one bracket moved so that the runs lie 2 R apart.
void add_radius(const Mounted& m, double radius, Candidates& candidates) {
  const chain::ChainFrame frame = chain::chain_frame(m.chain, m.context.machine);
  if (!(frame.height_mm > 0.0)) return;
  const PlanChange wider =
      set_length(m.context, key(m.chain, "bend_radius"), radius,
                 "take " + m.chain.name + " with a bend radius of " + m.context.length(radius, 0));
  plan::Chain changed = m.chain;
  changed.bend_radius = radius;
  const double apart = 2.0 * radius - frame.height_mm;
  const std::string why = "the runs then lie " + m.context.length(2.0 * radius, 0) + " apart";
  for (const Bracket bracket : {Bracket::moving, Bracket::fixed}) {
    const double sign = bracket == Bracket::moving ? 1.0 : -1.0;
    add_bracket_move(m, changed, bracket, sign * apart * frame.normal, why, "another bend radius",
                     {wider}, candidates);
  }
}

void add_mounting(const Mounted& m, Candidates& candidates) {
  const plan::Chain& chain = m.chain;
  const chain::ChainFrame frame = chain::chain_frame(chain, m.context.machine);
  if (!(frame.height_mm > 0.0)) return;
  const Vec3 shift = (2.0 * chain.bend_radius - frame.height_mm) * frame.normal;
  const std::string why =
      "the runs then lie " + m.context.length(2.0 * chain.bend_radius, 0) + " apart";
  const auto add_brackets = [&] {
    add_bracket_move(m, chain, Bracket::moving, shift, why, "a bracket elsewhere", {}, candidates);
    add_bracket_move(m, chain, Bracket::fixed, -shift, why, "a bracket elsewhere", {}, candidates);
  };
  const double radius = measurable(m.context, 0.5 * frame.height_mm);
  Changes changes = {
      set_length(m.context, key(chain, "bend_radius"), radius,
                 "take " + chain.name + " with a bend radius of " + m.context.length(radius))};
  plan::Chain changed = chain;
  changed.bend_radius = radius;
  follow_links(m.context, changed, changes);
  // What is mounted stays where a wider chain fits: its bends are wider, too.
  if (radius < chain.bend_radius) add_brackets();
  candidates.push_back({"another bend radius", std::move(changes)});
  if (radius >= chain.bend_radius) add_brackets();
}

void add_links(const plan::Chain& chain, int links, Candidates& candidates) {
  candidates.push_back({"another number of links",
                        {set_whole(key(chain, "links"), links,
                                   "take " + std::to_string(links) + " links of " + chain.name)}});
}

/// A shape that strays from its loop or sags: a tray under it, a few links less or more, a wider
/// bend.
void add_shapes(const Mounted& m, const ChainFigures& figures, Candidates& candidates) {
  const plan::Chain& chain = m.chain;
  if (!chain.tray) {
    candidates.push_back(
        {"a tray",
         {{key(chain, "tray"), "true", "put a tray under the lower run of " + chain.name}}});
  }
  const int links = figures.loop.links;
  for (const int change : {-1, 1, -2, 2, 4}) {
    const bool reaches = links + change >= figures.loop.fewest_links;
    const bool fits = !figures.loop.most_links || links + change <= *figures.loop.most_links;
    if (reaches && fits) add_links(chain, links + change, candidates);
  }
  add_mounting(m, candidates);
  for (const double share : {1.25, 1.5}) {
    add_radius(m, std::ceil(share * chain.bend_radius), candidates);
  }
}

/// The fixed bracket at mid-travel: the fewest links and the shortest unsupported run.
void add_middle_bracket(const Mounted& m, Candidates& candidates) {
  const chain::ChainFrame frame = chain::chain_frame(m.chain, m.context.machine);
  const double middle = 0.5 * (frame.loop.moving_mm[0] + frame.loop.moving_mm[1]);
  for (const double share : {0.25, 0.5, 0.75, 1.0}) {
    const double along = measurable(m.context, share * middle, 1.0);
    if (std::abs(along) < 1.0) return;
    add_bracket_move(m, m.chain, Bracket::fixed, along * frame.along, "nearer to mid-travel",
                     "a bracket elsewhere", {}, candidates);
  }
}

Changes wider_section(const Context& context, const plan::Chain& chain, double more_width,
                      double more_height) {
  Changes changes;
  const auto grow = [&](const char* inner, const char* outer, double inner_mm, double outer_mm,
                        double more, const char* what) {
    if (!(more > 0.0)) return;
    changes.push_back(set_length(context, key(chain, inner), inner_mm + more,
                                 "take " + chain.name + " with an inner " + what + " of " +
                                     context.length(inner_mm + more)));
    changes.push_back(set_length(context, key(chain, outer), outer_mm + more, {}));
  };
  grow("inner_width", "outer_width", chain.inner_width, chain.outer_width, more_width, "width");
  grow("inner_height", "outer_height", chain.inner_height, chain.outer_height, more_height,
       "height");
  return changes;
}

PlanChange dividers_change(const Context& context, const plan::Chain& chain,
                           std::vector<double> dividers, std::string what) {
  std::sort(dividers.begin(), dividers.end());
  std::string text = "[";
  for (const double x : dividers) {
    text += (text.size() > 1 ? ", " : "") + toml_measure(context, x);
  }
  return {key(chain, "dividers"), text + "]", std::move(what)};
}

void add_wider(const Context& context, const plan::Chain& chain, double more_width,
               double more_height, Candidates& candidates) {
  more_width = std::max(0.0, std::ceil(more_width));
  more_height = std::max(0.0, std::ceil(more_height));
  // The new width goes to one compartment: the dividers right of it move along.
  for (std::size_t k = 0; k <= chain.dividers.size(); ++k) {
    Changes changes = wider_section(context, chain, more_width, more_height);
    if (changes.empty()) return;
    if (k < chain.dividers.size()) {
      if (!(more_width > 0.0)) continue;
      std::vector<double> dividers = chain.dividers;
      for (std::size_t i = k; i < dividers.size(); ++i) dividers[i] += more_width;
      changes.push_back(dividers_change(context, chain, dividers, "with its dividers moved along"));
    }
    candidates.push_back({"a larger section", std::move(changes)});
  }
}

/// A divider between two lines, in the section as it is or wider by its thickness and the room that
/// its sides take.
void add_divider(const Context& context, const plan::Chain& chain, const ChainFigures& figures,
                 const Finding& finding, Candidates& candidates) {
  std::vector<double> x;
  double clearance = 0.0;
  for (std::size_t i = 0; i < figures.fill.lines.size(); ++i) {
    const bool named = std::find(finding.things.begin() + 1, finding.things.end(),
                                 figures.line_names[i]) != finding.things.end();
    if (!named || !figures.fill.lines[i].centre_mm) continue;
    x.push_back(figures.fill.lines[i].centre_mm->x);
    clearance += figures.fill.lines[i].wanted_clearance_mm;
  }
  if (x.size() != 2) return;
  std::vector<double> dividers = chain.dividers;
  const double middle = measurable(context, 0.5 * (x[0] + x[1]));
  dividers.push_back(middle);
  const double thickness = std::max(1.0, chain.divider_thickness);
  Changes changes = {dividers_change(context, chain, dividers,
                                     "put a divider into " + chain.name + " between " +
                                         finding.things[1] + " and " + finding.things[2])};
  if (chain.divider_thickness < 1.0) {
    changes.push_back(set_length(context, key(chain, "divider_thickness"), thickness, {}));
  }
  candidates.push_back({"a divider", changes});
  for (const double more :
       {std::ceil(thickness + clearance), std::ceil(thickness + clearance) + 10.0}) {
    Changes wider = wider_section(context, chain, more, 0.0);
    std::vector<double> moved = chain.dividers;
    for (double& d : moved) d += d > middle ? more : 0.0;
    moved.push_back(measurable(context, middle + 0.5 * more));
    wider.push_back(dividers_change(
        context, chain, moved,
        "put a divider into it between " + finding.things[1] + " and " + finding.things[2]));
    if (chain.divider_thickness < 1.0) {
      wider.push_back(set_length(context, key(chain, "divider_thickness"), thickness, {}));
    }
    candidates.push_back({"a divider in a wider section", std::move(wider)});
  }
}

}  // namespace

Candidates chain_candidates(const Context& context, const StudyResult& result,
                            const Finding& finding, const Carriers& carriers) {
  Candidates candidates;
  if (finding.things.empty()) return candidates;
  const auto figures =
      std::find_if(result.chains.begin(), result.chains.end(),
                   [&](const ChainFigures& c) { return c.name == finding.things.front(); });
  if (figures == result.chains.end()) return candidates;
  const plan::Chain& chain = by_name(context.plan.chains, figures->name);
  const Mounted m{context, chain, carriers};
  const chain::FillResult& fill = figures->fill;
  if (finding.check == "chain length") add_links(chain, figures->loop.fewest_links, candidates);
  if (finding.check == "chain mounting" || finding.check == "chain clearance") {
    add_mounting(m, candidates);
  }
  if (finding.check == "chain room") {
    const auto& most = figures->loop.most_links;
    if (most && *most >= figures->loop.fewest_links) add_links(chain, *most, candidates);
    add_middle_bracket(m, candidates);
  }
  if (finding.check == "chain span") add_middle_bracket(m, candidates);
  if (finding.check == "chain shape" || finding.check == "chain sag") {
    add_shapes(m, *figures, candidates);
    add_middle_bracket(m, candidates);
  }
  if (finding.check == "chain bend") {
    const double radius = std::ceil(chain.bend_radius + finding.limit - finding.value);
    add_radius(m, radius, candidates);
  }
  if (finding.check == "chain fill") {
    if (fill.status == chain::FillStatus::does_not_fit) {
      add_wider(context, chain, fill.more_width_mm, fill.more_height_mm, candidates);
    } else if (finding.things.size() == 3) {  // two lines that climb over each other
      add_divider(context, chain, *figures, finding, candidates);
    } else if (finding.unit == "%") {
      add_wider(context, chain, chain.inner_width * (finding.value / finding.limit - 1.0), 0.0,
                candidates);
    }
  }
  if (finding.check == "power beside signal" && finding.things.size() == 3) {
    add_divider(context, chain, *figures, finding, candidates);
  }
  if (finding.check == "connector") {
    add_wider(context, chain, -finding.value, 0.0, candidates);
    add_wider(context, chain, 0.0, -finding.value, candidates);
    add_wider(context, chain, -finding.value, -finding.value, candidates);
  }
  return candidates;
}

}  // namespace bight::study
