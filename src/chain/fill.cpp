#include "chain/fill.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/check.h"
#include "base/number.h"
#include "chain/fill_detail.h"

namespace bight::chain {
namespace {

using fill_detail::k_kept_mm;

/// mm, %, kg/m. No chain or line has a figure above it; sums of squares stay finite below it.
constexpr double k_greatest = 1e6;
/// Work grows with the square of the count.
constexpr std::size_t k_most_lines = 200;

bool positive(double v) {
  return v > 0.0 && v <= k_greatest;
}
bool not_negative(double v) {
  return v >= 0.0 && v <= k_greatest;
}

bool valid(const FillLine& line) {
  const bool place = !line.at_mm || (std::abs(line.at_mm->x) <= k_greatest &&
                                     std::abs(line.at_mm->y) <= k_greatest);
  const bool connector =
      !line.connector_mm || (positive(line.connector_mm->x) && positive(line.connector_mm->y));
  return place && connector && positive(line.diameter_mm) && not_negative(line.mass_kg_per_m);
}

bool valid(const FillProblem& p) {
  return p.lines.size() <= k_most_lines && positive(p.width_mm) && positive(p.height_mm) &&
         not_negative(p.divider_thickness_mm) && not_negative(p.cable_clearance_percent) &&
         not_negative(p.hose_clearance_percent) && not_negative(p.least_clearance_mm) &&
         not_negative(p.climb_ratio) &&
         std::all_of(p.lines.begin(), p.lines.end(), [](const FillLine& l) { return valid(l); });
}

/// The spaces between walls and dividers, from left to right; empty when a divider is outside or
/// two overlap.
std::vector<Compartment> compartments_of(const FillProblem& problem) {
  std::vector<double> dividers = problem.dividers_mm;
  std::sort(dividers.begin(), dividers.end());
  std::vector<Compartment> result{{0.0, problem.width_mm, {}}};
  for (const double x : dividers) {
    const double half = 0.5 * problem.divider_thickness_mm;
    if (!(x - half > result.back().left_mm && x + half < problem.width_mm)) return {};
    result.back().right_mm = x - half;
    result.push_back({x + half, problem.width_mm, {}});
  }
  return result;
}

/// What one given place lacks most.
struct Clash {
  double lacks_mm = 0.0;
  double clearance_mm = 0.0;
  double wanted_mm = 0.0;
  std::string with;
};

Clash clash_of(const FillProblem& problem, const FillResult& result, std::size_t i) {
  const FillLine& line = problem.lines[i];
  const PlacedLine& placed = result.lines[i];
  const Vec2 at = *placed.centre_mm;
  const double r = 0.5 * line.diameter_mm;
  const Compartment& c = result.compartments[placed.compartment];
  Clash worst;
  const auto consider = [&worst](double clearance, double wanted, const std::string& with) {
    if (wanted - clearance > worst.lacks_mm) {
      worst = {wanted - clearance, clearance, wanted, with};
    }
  };
  const bool first = placed.compartment == 0;
  const bool last = placed.compartment + 1 == result.compartments.size();
  consider(at.y - r, placed.wanted_clearance_mm, "the floor");
  consider(problem.height_mm - at.y - r, placed.wanted_clearance_mm, "the top");
  consider(at.x - r - c.left_mm, placed.wanted_clearance_mm, first ? "the left wall" : "a divider");
  consider(c.right_mm - at.x - r, placed.wanted_clearance_mm,
           last ? "the right wall" : "a divider");
  for (const std::size_t k : c.lines) {
    if (k == i) continue;
    const FillLine& other = problem.lines[k];
    consider(glm::length(at - *result.lines[k].centre_mm) - r - 0.5 * other.diameter_mm,
             fill_detail::wanted_gap(problem, line, other), other.name);
  }
  return worst;
}

/// The given place that lacks most, in words; empty when all keep their clearance.
std::string clash_of_given(const FillProblem& problem, const FillResult& result) {
  Clash worst;
  std::string name;
  for (std::size_t i = 0; i < result.lines.size(); ++i) {
    if (!problem.lines[i].at_mm) continue;
    Clash clash = clash_of(problem, result, i);
    if (clash.lacks_mm > std::max(k_kept_mm, worst.lacks_mm)) {
      worst = std::move(clash);
      name = problem.lines[i].name;
    }
  }
  if (name.empty()) return {};
  if (worst.clearance_mm < 0.0) {
    return name + " as placed overlaps " + worst.with + " by " + fixed(-worst.clearance_mm, 2) +
           " mm";
  }
  return name + " as placed has " + fixed(worst.clearance_mm, 2) + " mm to " + worst.with + ", " +
         fixed(worst.wanted_mm, 2) + " mm are wanted";
}

std::string missing_room(const FillProblem& problem, const FillResult& result) {
  std::string names;
  for (std::size_t i = 0; i < result.lines.size(); ++i) {
    if (result.lines[i].centre_mm) continue;
    names += (names.empty() ? "" : ", ") + problem.lines[i].name;
  }
  std::string text = "no place found for " + names;
  if (result.more_height_mm > 0.0) {
    text += "; " + fixed(result.more_height_mm, 1) + " mm more inner height are needed";
  }
  if (result.more_width_mm > 0.0) {
    text += "; " + fixed(result.more_width_mm, 1) + " mm more inner width would do";
  }
  return text;
}

}  // namespace

namespace fill_detail {

bool is_hose(plan::LineKind kind) {
  return kind == plan::LineKind::air || kind == plan::LineKind::coolant ||
         kind == plan::LineKind::extraction;
}

bool is_power(plan::LineKind kind) {
  return kind == plan::LineKind::power || kind == plan::LineKind::motor;
}

double wanted_gap(const FillProblem& problem, const FillLine& a, const FillLine& b) {
  return std::max(wanted_clearance(problem, a), wanted_clearance(problem, b));
}

std::size_t compartment_at(const std::vector<Compartment>& compartments, double x) {
  std::size_t nearest = 0;
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t c = 0; c < compartments.size(); ++c) {
    const double off = std::max({0.0, compartments[c].left_mm - x, x - compartments[c].right_mm});
    if (off < least) {
      least = off;
      nearest = c;
    }
  }
  return nearest;
}

}  // namespace fill_detail

double wanted_clearance(const FillProblem& problem, const FillLine& line) {
  const double percent = fill_detail::is_hose(line.kind) ? problem.hose_clearance_percent
                                                         : problem.cable_clearance_percent;
  return std::max(problem.least_clearance_mm, 0.01 * percent * line.diameter_mm);
}

FillResult fill_section(const FillProblem& problem, const FillOptions& options) {
  FillResult result;
  if (valid(problem)) result.compartments = compartments_of(problem);
  if (result.compartments.empty()) {
    result.status = FillStatus::invalid;
    result.problem = "a size of the section or of a line is out of range, or the dividers overlap";
    return result;
  }
  const fill_detail::Arrangement arrangement =
      fill_detail::arrange(problem, result.compartments, options);
  for (std::size_t i = 0; i < problem.lines.size(); ++i) {
    PlacedLine placed;
    placed.centre_mm = arrangement.centre[i];
    placed.compartment = arrangement.compartment[i];
    placed.wanted_clearance_mm = wanted_clearance(problem, problem.lines[i]);
    result.compartments[placed.compartment].lines.push_back(i);
    result.lines.push_back(std::move(placed));
  }
  for (Compartment& c : result.compartments) {
    std::erase_if(c.lines, [&](std::size_t i) { return !result.lines[i].centre_mm; });
    std::stable_sort(c.lines.begin(), c.lines.end(), [&](std::size_t a, std::size_t b) {
      return result.lines[a].centre_mm->x < result.lines[b].centre_mm->x;
    });
  }
  result.more_width_mm = arrangement.more_width_mm;
  result.more_height_mm = arrangement.more_height_mm;
  fill_detail::measure(problem, result);
  result.connectors = fill_detail::pass_connectors(problem, result.compartments);

  const bool all_placed = std::all_of(result.lines.begin(), result.lines.end(),
                                      [](const PlacedLine& l) { return l.centre_mm.has_value(); });
  if (!all_placed) {
    result.status = FillStatus::does_not_fit;
    result.problem = missing_room(problem, result);
  } else if (std::string clash = clash_of_given(problem, result); !clash.empty()) {
    result.status = FillStatus::given_clash;
    result.problem = std::move(clash);
  }
  return result;
}

FillProblem fill_problem(const plan::Chain& chain, const plan::Rules& rules,
                         const std::vector<const plan::Line*>& lines,
                         const std::vector<plan::Article>& articles) {
  FillProblem problem;
  problem.width_mm = chain.inner_width;
  problem.height_mm = chain.inner_height;
  problem.dividers_mm = chain.dividers;
  problem.divider_thickness_mm = chain.divider_thickness;
  problem.cable_clearance_percent = rules.cable_clearance_percent;
  problem.hose_clearance_percent = rules.hose_clearance_percent;
  for (const plan::Line* line : lines) {
    const auto article =
        std::find_if(articles.begin(), articles.end(),
                     [line](const plan::Article& a) { return a.name == line->article; });
    BIGHT_CHECK(article != articles.end());
    FillLine entry{.name = line->name,
                   .kind = article->kind,
                   .diameter_mm = article->outside_diameter,
                   .mass_kg_per_m = article->mass,
                   .at_mm = {},
                   .connector_mm = article->connector};
    for (const plan::Place2& place : chain.places) {
      if (place.line == line->name) entry.at_mm = place.at;
    }
    problem.lines.push_back(std::move(entry));
  }
  return problem;
}

}  // namespace bight::chain
