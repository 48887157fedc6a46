// Articles, conductors and bends that may mend a line.

#include <algorithm>
#include <cmath>

#include "line/bend_limit.h"
#include "line/electrical.h"
#include "plan/patch.h"
#include "study/lookup.h"
#include "study/suggest_candidate.h"
#include "study/suggest_edit.h"

namespace bight::study {
namespace {

/// Other articles of the plan that can stand in for a line's, cheapest first.
void add_articles(const Context& context, const plan::Line& line, double least_area_mm2,
                  Candidates& candidates) {
  const plan::Article& now = by_name(context.plan.articles, line.article);
  std::vector<const plan::Article*> others;
  for (const plan::Article& article : context.plan.articles) {
    const bool stands_in = article.name != now.name && article.kind == now.kind &&
                           article.cores >= now.cores && article.core_area >= least_area_mm2 &&
                           (article.screened || !now.screened);
    if (stands_in) others.push_back(&article);
  }
  std::stable_sort(others.begin(), others.end(),
                   [](const plan::Article* a, const plan::Article* b) {
                     return a->price.value_or(1e300) < b->price.value_or(1e300);
                   });
  for (const plan::Article* article : others) {
    candidates.push_back({"another article",
                          {{"line." + line.name + ".article", plan::toml_text(article->name),
                            "take " + article->name + " for " + line.name}}});
  }
}

/// The same cable with the next larger conductors. Its diameter is taken to grow with the root of
/// their area and its mass with their area, both more than they do since insulation stays.
void add_conductors(const Context& context, const plan::Line& line, Candidates& candidates) {
  const plan::Article& article = by_name(context.plan.articles, line.article);
  if (!(article.core_area > 0.0)) return;
  for (const line::Class5Row& row : line::class_5_table()) {
    if (row.area_mm2 <= article.core_area) continue;
    const double ratio = row.area_mm2 / article.core_area;
    const double diameter = measurable(context, article.outside_diameter * std::sqrt(ratio) + 0.05);
    const std::string path = "article." + article.name + ".";
    candidates.push_back(
        {"larger conductors",
         {{path + "core_area", shortest(row.area_mm2),
           "take " + article.name + " with " + shortest(row.area_mm2) +
               " mm^2 (diameter and mass estimated: put in those of its data sheet)"},
          set_length(context, path + "outside_diameter", diameter, {}),
          {path + "mass", shortest(std::round(article.mass * ratio * 1000.0) / 1000.0), {}}}});
  }
}

void add_clipped_bends(const Context& context, const plan::Line& line, Candidates& candidates) {
  const plan::Article& article = by_name(context.plan.articles, line.article);
  const double limit =
      std::ceil(line::bend_limit(article, line::BendUse::fixed, context.plan.rules).centre_line_mm);
  const std::vector<plan::Leg>& legs = by_name(context.plan.runs, line.run).legs;
  std::vector<PlanChange> all;
  for (std::size_t i = 0; i < legs.size(); ++i) {
    if (legs[i].way != plan::LegWay::fixed || legs[i].points.size() < 3) continue;
    if (legs[i].bend_radius == limit) continue;
    all.push_back(
        set_length(context, leg_path(line.run, i) + "bend_radius", limit,
                   "bend " + line.run + " on " + legs[i].body + " to " + context.length(limit, 0)));
    candidates.push_back({"another bend", {all.back()}});
  }
  if (all.size() > 1) candidates.push_back({"another bend", std::move(all)});
}

}  // namespace

Candidates line_candidates(const Context& context, const Finding& finding) {
  Candidates candidates;
  for (const plan::Line& line : context.plan.lines) {
    const bool named =
        std::find(finding.things.begin(), finding.things.end(), line.name) != finding.things.end();
    if (!named || !line.present) continue;
    const plan::Article& article = by_name(context.plan.articles, line.article);
    if (finding.check == "voltage drop") {
      add_articles(context, line, std::nextafter(article.core_area, 1e9), candidates);
      add_conductors(context, line, candidates);
    } else if (finding.check == "clipped bend") {
      add_clipped_bends(context, line, candidates);
    } else {
      add_articles(context, line, article.core_area, candidates);
    }
  }
  return candidates;
}

}  // namespace bight::study
