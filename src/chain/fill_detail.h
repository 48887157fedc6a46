#pragma once
// Steps of fill_section, shared by its sources only.

#include <optional>
#include <vector>

#include "chain/fill.h"

namespace bight::chain::fill_detail {

/// mm. A clearance that lacks less than this counts as kept: packings are exact to far better.
inline constexpr double k_kept_mm = 1e-6;

bool is_hose(plan::LineKind kind);
bool is_power(plan::LineKind kind);

/// Gap wanted between the surfaces of two lines: the larger of their clearances.
double wanted_gap(const FillProblem& problem, const FillLine& a, const FillLine& b);

/// The compartment that holds x, or the one nearest to it.
std::size_t compartment_at(const std::vector<Compartment>& compartments, double x);

/// Where each line goes: its compartment and, where one was found, its place.
struct Arrangement {
  std::vector<std::size_t> compartment;
  std::vector<std::optional<Vec2>> centre;
  double more_width_mm = 0.0;
  double more_height_mm = 0.0;
};

/// Compartment for each line: given places decide, the rest by cost (overfull compartments, power
/// with signal, lines that can climb over each other, weight to one side), least first. `crowded`
/// counts how often packing a compartment failed: it is then offered less.
std::vector<std::size_t> assign_compartments(const FillProblem& problem,
                                             const std::vector<Compartment>& compartments,
                                             const std::vector<int>& crowded);

/// Places the lines: rows at mid-height where they fit, else packings.
Arrangement arrange(const FillProblem& problem, const std::vector<Compartment>& compartments,
                    const FillOptions& options);

/// Width that a row of these lines needs with its clearances, in the given order.
double row_width(const FillProblem& problem, const std::vector<std::size_t>& lines);

/// Clearances, remarks on pairs, weights and share of area of a section whose lines are placed.
void measure(const FillProblem& problem, FillResult& result);

/// Which fitted connectors can be threaded through.
std::vector<ConnectorPass> pass_connectors(const FillProblem& problem,
                                           const std::vector<Compartment>& compartments);

}  // namespace bight::chain::fill_detail
