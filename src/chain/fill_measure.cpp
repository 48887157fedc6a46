#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "chain/fill_detail.h"
#include "line/circle_packing.h"

namespace bight::chain::fill_detail {
namespace {

double gap(const FillProblem& problem, const FillResult& result, std::size_t a, std::size_t b) {
  return glm::length(*result.lines[a].centre_mm - *result.lines[b].centre_mm) -
         0.5 * (problem.lines[a].diameter_mm + problem.lines[b].diameter_mm);
}

void measure_clearance(const FillProblem& problem, std::size_t i, FillResult& result) {
  PlacedLine& placed = result.lines[i];
  const Vec2 at = *placed.centre_mm;
  const double r = 0.5 * problem.lines[i].diameter_mm;
  const Compartment& c = result.compartments[placed.compartment];
  placed.clearance_mm = std::numeric_limits<double>::infinity();
  const auto nearer = [&placed](double clearance, const std::string& name) {
    if (clearance < placed.clearance_mm) {
      placed.clearance_mm = clearance;
      placed.nearest = name;
    }
  };
  nearer(at.y - r, "floor");
  nearer(problem.height_mm - at.y - r, "top");
  nearer(at.x - r - c.left_mm, placed.compartment == 0 ? "left wall" : "divider");
  nearer(c.right_mm - at.x - r,
         placed.compartment + 1 == result.compartments.size() ? "right wall" : "divider");
  for (std::size_t k = 0; k < result.lines.size(); ++k) {
    const PlacedLine& other = result.lines[k];
    if (k == i || !other.centre_mm || other.compartment != placed.compartment) continue;
    nearer(gap(problem, result, i, k), problem.lines[k].name);
  }
}

/// Remarks on two lines of one compartment; `neighbours`: nothing lies between them in x.
void remark_pair(const FillProblem& problem, std::size_t a, std::size_t b, bool neighbours,
                 FillResult& result) {
  const FillLine& first = problem.lines[a];
  const FillLine& second = problem.lines[b];
  FillPair pair{std::min(a, b), std::max(a, b), gap(problem, result, a, b), false, false};
  pair.power_by_signal = (is_power(first.kind) && second.kind == plan::LineKind::signal) ||
                         (is_power(second.kind) && first.kind == plan::LineKind::signal);
  pair.climbs = neighbours &&
                first.diameter_mm + second.diameter_mm <= problem.climb_ratio * problem.height_mm;
  if (pair.power_by_signal || pair.climbs) result.pairs.push_back(pair);
}

/// Do circles of these diameters, pushed together, go into a rectangle?
bool pushed_into(const FillProblem& problem, const std::vector<std::size_t>& lines, double width,
                 double height) {
  double sum = 0.0;
  double thickest = 0.0;
  line::PackingProblem packing;
  packing.goal = line::PackingGoal::most_room;
  packing.size_mm = {width, height};
  for (const std::size_t i : lines) {
    const double d = problem.lines[i].diameter_mm;
    sum += d;
    thickest = std::max(thickest, d);
    packing.wall_mm.push_back(0.5 * d);
    for (const std::size_t k : lines) {
      packing.apart_mm.push_back(0.5 * (d + problem.lines[k].diameter_mm));
    }
  }
  if (!(thickest <= std::min(width, height) + k_kept_mm)) return false;
  if (sum <= std::max(width, height) + k_kept_mm) return true;  // in a row
  return line::pack_circles(packing, {.starts = 40, .enough = 0.0, .first = {}}).s <= k_kept_mm;
}

}  // namespace

void measure(const FillProblem& problem, FillResult& result) {
  for (std::size_t i = 0; i < result.lines.size(); ++i) {
    const FillLine& line = problem.lines[i];
    result.area_percent += 25.0 * std::numbers::pi * line.diameter_mm * line.diameter_mm /
                           (problem.width_mm * problem.height_mm);
    result.mass_kg_per_m += line.mass_kg_per_m;
    if (!result.lines[i].centre_mm) continue;
    measure_clearance(problem, i, result);
    const double off = result.lines[i].centre_mm->x - 0.5 * problem.width_mm;
    result.moment_kgmm_per_m += line.mass_kg_per_m * off;
    if (off < -k_kept_mm) result.left_kg_per_m += line.mass_kg_per_m;
    if (off > k_kept_mm) result.right_kg_per_m += line.mass_kg_per_m;
  }
  for (const Compartment& c : result.compartments) {
    for (std::size_t k = 0; k < c.lines.size(); ++k) {
      for (std::size_t m = 0; m < k; ++m) {
        remark_pair(problem, c.lines[m], c.lines[k], m + 1 == k, result);
      }
    }
  }
}

std::vector<ConnectorPass> pass_connectors(const FillProblem& problem,
                                           const std::vector<Compartment>& compartments) {
  std::vector<ConnectorPass> passes;
  for (std::size_t c = 0; c < compartments.size(); ++c) {
    const double width = compartments[c].right_mm - compartments[c].left_mm;
    const double height = problem.height_mm;
    for (const std::size_t i : compartments[c].lines) {
      if (!problem.lines[i].connector_mm) continue;
      std::vector<std::size_t> others = compartments[c].lines;
      std::erase(others, i);
      ConnectorPass pass{i, false, false, std::numeric_limits<double>::infinity()};
      const Vec2 connector = *problem.lines[i].connector_mm;
      for (const Vec2 turned : {connector, Vec2(connector.y, connector.x)}) {
        const double lacks = std::max(turned.x - width, turned.y - height);
        pass.lacks_mm = std::min(pass.lacks_mm, std::max(0.0, lacks));
        if (!(lacks <= k_kept_mm)) continue;
        pass.through_empty = true;
        pass.through_others = pass.through_others || others.empty() ||
                              pushed_into(problem, others, width - turned.x, height) ||
                              pushed_into(problem, others, width, height - turned.y);
      }
      passes.push_back(pass);
    }
  }
  std::sort(passes.begin(), passes.end(),
            [](const ConnectorPass& a, const ConnectorPass& b) { return a.line < b.line; });
  return passes;
}

}  // namespace bight::chain::fill_detail
