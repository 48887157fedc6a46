#pragma once
// The cross-section of a filled chain: which line lies where, with which clearance, and what of
// common practice it keeps. The result can be drawn as it stands.
//
// Section coordinates: x from the inner left wall, y from the inner floor, mm, seen along the fixed
// run towards the bend with the inside of the bend on top: a line higher in the section bends
// tighter.

#include <optional>
#include <string>
#include <vector>

#include "base/vec.h"
#include "plan/plan.h"

namespace bight::chain {

struct FillLine {
  std::string name;
  plan::LineKind kind = plan::LineKind::other;
  double diameter_mm = 0.0;
  double mass_kg_per_m = 0.0;
  std::optional<Vec2> at_mm;         ///< given place of its centre; absent: placed here
  std::optional<Vec2> connector_mm;  ///< width x height that has to be threaded through
};

struct FillProblem {
  double width_mm = 0.0;  ///< inner section
  double height_mm = 0.0;
  std::vector<double> dividers_mm;  ///< x of their middles
  double divider_thickness_mm = 0.0;
  std::vector<FillLine> lines;
  double cable_clearance_percent = 10.0;  ///< of the diameter, on every side (common practice)
  double hose_clearance_percent = 20.0;   ///< air, coolant, extraction
  double least_clearance_mm = 1.0;        ///< a clearance is never less
  double climb_ratio = 1.2;               ///< see FillPair::climbs (common practice)
};

enum class FillStatus {
  fits,          ///< every line is placed with its clearance
  given_clash,   ///< given places overlap, stick out or lack clearance; the rest is placed
  does_not_fit,  ///< no place was found for some line: see more_width_mm and more_height_mm
  invalid,       ///< a number is not finite or out of range, or there are over 200 lines
};

struct FillOptions {
  int starts = 0;  ///< arrangements tried per compartment when rows fail; 0: by the count of lines
};

struct Compartment {
  double left_mm = 0.0;
  double right_mm = 0.0;
  std::vector<std::size_t> lines;  ///< indices of the problem's lines, from left to right
};

/// In the order of the problem's lines.
struct PlacedLine {
  std::optional<Vec2> centre_mm;  ///< absent: no place found
  std::size_t compartment = 0;    ///< that its centre lies in
  double wanted_clearance_mm = 0.0;
  double clearance_mm = 0.0;  ///< smallest gap to a wall, divider or other line; negative: overlap
  std::string nearest;        ///< "floor", "top", "left wall", "divider", or the other line's name
};

/// Two lines of one compartment that share it badly.
struct FillPair {
  std::size_t first = 0;
  std::size_t second = 0;
  double gap_mm = 0.0;           ///< between their surfaces
  bool power_by_signal = false;  ///< a power or motor line beside a signal line, no divider between
  bool climbs = false;  ///< d1 + d2 <= climb_ratio x height: they can climb over each other and jam
};

/// Whether a fitted connector can be threaded through.
struct ConnectorPass {
  std::size_t line = 0;
  bool through_empty = false;   ///< the empty compartment, either way round
  bool through_others = false;  ///< beside the compartment's other lines, pushed together
  double lacks_mm = 0.0;  ///< least enlargement of the compartment (one side) that lets it pass
};

struct FillResult {
  FillStatus status = FillStatus::fits;
  std::string problem;  ///< one sentence, empty when it fits
  std::vector<Compartment> compartments;
  std::vector<PlacedLine> lines;
  std::vector<FillPair> pairs;  ///< only pairs with a remark
  std::vector<ConnectorPass> connectors;
  double area_percent = 0.0;   ///< area of the lines over that of the inner section
  double mass_kg_per_m = 0.0;  ///< of all lines
  double left_kg_per_m = 0.0;  ///< of lines whose middle is left of the section's
  double right_kg_per_m = 0.0;
  double moment_kgmm_per_m = 0.0;  ///< sum of mass x (x - width/2); positive: heavy on the right
  /// does_not_fit: a section wider by this, its dividers moved to where it is missing, was found to
  /// do (with more_height_mm added, too).
  double more_width_mm = 0.0;
  double more_height_mm = 0.0;  ///< does_not_fit: what the highest line lacks in height
};

/// Places lines and measures the section. Lines lie side by side at mid-height where they can (as
/// the trade does it), else as a packing; spare room is shared out evenly. Lines without a given
/// place go to compartments such that power and signal are apart where dividers allow and left and
/// right weigh alike. Deterministic.
FillResult fill_section(const FillProblem& problem, const FillOptions& options = {});

/// Clearance wanted on every side of a line.
double wanted_clearance(const FillProblem& problem, const FillLine& line);

/// The problem of a chain of the plan with the lines that run through it, under its rules.
FillProblem fill_problem(const plan::Chain& chain, const plan::Rules& rules,
                         const std::vector<const plan::Line*>& lines,
                         const std::vector<plan::Article>& articles);

}  // namespace bight::chain
