#include <algorithm>
#include <cmath>
#include <numbers>

#include "chain/fill_detail.h"

namespace bight::chain::fill_detail {
namespace {

// Costs of an assignment, so far apart that a worse kind is never paid for by a milder one.
constexpr double k_too_full = 1e6;      // per unit of fill beyond what packs
constexpr double k_not_a_row = 1e4;     // lines that must lie above each other
constexpr double k_power_signal = 1e3;  // per pair
constexpr double k_climbs = 10.0;       // per neighbouring pair
constexpr double k_unbalanced = 1.0;    // moment over (mass x half width)

/// Share of a compartment, clearances counted to the lines, above which packing hardly succeeds.
constexpr double k_full = 0.75;

/// Assignments tried one by one; more are searched by moves and exchanges.
constexpr double k_most_enumerated = 1024.0;

class Assigner {
 public:
  Assigner(const FillProblem& problem, const std::vector<Compartment>& compartments,
           const std::vector<int>& crowded)
      : problem_(problem), compartments_(compartments), crowded_(crowded) {
    for (std::size_t i = 0; i < problem.lines.size(); ++i) {
      const auto& at = problem.lines[i].at_mm;
      where_.push_back(at ? compartment_at(compartments, at->x) : 0);
      if (!at) free_.push_back(i);
    }
  }

  std::vector<std::size_t> run() {
    const double count =
        std::pow(static_cast<double>(compartments_.size()), static_cast<double>(free_.size()));
    if (count <= k_most_enumerated) {
      enumerate();
    } else {
      search();
    }
    return where_;
  }

 private:
  double cost() const;
  double compartment_cost(std::size_t c, const std::vector<std::size_t>& lines) const;
  void enumerate();
  void search();

  const FillProblem& problem_;
  const std::vector<Compartment>& compartments_;
  const std::vector<int>& crowded_;
  std::vector<std::size_t> where_;
  std::vector<std::size_t> free_;
};

double Assigner::compartment_cost(std::size_t c, const std::vector<std::size_t>& lines) const {
  const double width = compartments_[c].right_mm - compartments_[c].left_mm;
  double cost = 0.0;
  double area = 0.0;
  bool given = false;
  for (std::size_t k = 0; k < lines.size(); ++k) {
    const FillLine& a = problem_.lines[lines[k]];
    const double d = a.diameter_mm + wanted_clearance(problem_, a);
    area += 0.25 * std::numbers::pi * d * d;
    given = given || a.at_mm.has_value();
    for (std::size_t m = 0; m < k; ++m) {
      const FillLine& b = problem_.lines[lines[m]];
      if ((is_power(a.kind) && b.kind == plan::LineKind::signal) ||
          (is_power(b.kind) && a.kind == plan::LineKind::signal)) {
        cost += k_power_signal;
      }
      const bool neighbours = m + 1 == k;
      if (neighbours &&
          a.diameter_mm + b.diameter_mm <= problem_.climb_ratio * problem_.height_mm) {
        cost += k_climbs;
      }
    }
  }
  const double full = area / (width * problem_.height_mm);
  const double offered = k_full * std::pow(0.85, crowded_[c]);
  if (full > offered) cost += k_too_full * (full - offered) + k_too_full;
  const double row = row_width(problem_, lines);
  if (!given && row > width + k_kept_mm) cost += k_not_a_row * (1.0 + (row - width) / width);
  return cost;
}

double Assigner::cost() const {
  double sum = 0.0;
  double moment = 0.0;
  double mass = 0.0;
  for (std::size_t c = 0; c < compartments_.size(); ++c) {
    std::vector<std::size_t> lines;
    for (std::size_t i = 0; i < where_.size(); ++i) {
      if (where_[i] == c) lines.push_back(i);
    }
    sum += compartment_cost(c, lines);
    const double middle = 0.5 * (compartments_[c].left_mm + compartments_[c].right_mm);
    for (const std::size_t i : lines) {
      const FillLine& line = problem_.lines[i];
      const double x = line.at_mm ? line.at_mm->x : middle;
      moment += line.mass_kg_per_m * (x - 0.5 * problem_.width_mm);
      mass += line.mass_kg_per_m;
    }
  }
  if (mass > 0.0) sum += k_unbalanced * std::abs(moment) / (0.5 * mass * problem_.width_mm);
  return sum;
}

/// Every assignment, counted like the digits of a number.
void Assigner::enumerate() {
  std::vector<std::size_t> best = where_;
  double best_cost = cost();
  for (;;) {
    std::size_t digit = 0;
    while (digit < free_.size() && ++where_[free_[digit]] == compartments_.size()) {
      where_[free_[digit++]] = 0;
    }
    if (digit == free_.size()) break;
    const double now = cost();
    if (now < best_cost) {
      best_cost = now;
      best = where_;
    }
  }
  where_ = best;
}

/// Each line in turn, thickest first, where it costs least; then moves and exchanges while they
/// help.
void Assigner::search() {
  std::vector<std::size_t> order = free_;
  std::stable_sort(order.begin(), order.end(), [this](std::size_t a, std::size_t b) {
    return problem_.lines[a].diameter_mm > problem_.lines[b].diameter_mm;
  });
  const auto best_place = [this](std::size_t line) {
    const std::size_t before = where_[line];
    std::size_t best = before;
    double least = cost();
    for (std::size_t c = 0; c < compartments_.size(); ++c) {
      where_[line] = c;
      const double now = cost();
      if (now < least - 1e-12) {
        least = now;
        best = c;
      }
    }
    where_[line] = best;
    return best != before;
  };
  // The rounds are bounded: each lowers the cost, and costs are few.
  for (int round = 0; round < 50; ++round) {
    bool better = false;
    for (const std::size_t line : order) better = best_place(line) || better;
    for (const std::size_t a : order) {
      for (const std::size_t b : order) {
        if (a >= b || where_[a] == where_[b]) continue;
        const double before = cost();
        std::swap(where_[a], where_[b]);
        if (cost() < before - 1e-12) {
          better = true;
        } else {
          std::swap(where_[a], where_[b]);
        }
      }
    }
    if (!better) break;
  }
}

}  // namespace

std::vector<std::size_t> assign_compartments(const FillProblem& problem,
                                             const std::vector<Compartment>& compartments,
                                             const std::vector<int>& crowded) {
  return Assigner(problem, compartments, crowded).run();
}

}  // namespace bight::chain::fill_detail
