#pragma once
// Edits of the cross-section of a drag chain: which line lies where, and where the dividers stand.
// What a person drags becomes [[chain.place]] entries and `dividers` of the plan; a line without an
// entry is placed by the program.

#include <optional>
#include <string>
#include <vector>

#include "chain/fill.h"
#include "editor/edit.h"
#include "editor/model.h"

namespace bight::editor {

/// The section as it is: the problem and its solution.
struct ChainSection {
  chain::FillProblem problem;
  chain::FillResult result;
};

/// Nothing when the plan has no such chain.
std::optional<ChainSection> chain_section(const Model& model, const std::string& chain);

/// Edits of the plan that put a line at a place (middle, section coordinates, mm), snapped so that
/// it keeps its clearance to walls, dividers and lines around it where there is room.
std::vector<Edit> place_line(const Model& model, const plan::Document& document,
                             const std::string& chain, const std::string& line, const Vec2& at_mm);

/// The program places the line again.
std::vector<Edit> release_line(const plan::Document& document, const std::string& chain,
                               const std::string& line);

/// Two lines change places.
std::vector<Edit> swap_lines(const Model& model, const plan::Document& document,
                             const std::string& chain, const std::string& line,
                             const std::string& other);

/// Moves a divider (index in the plan's list), adds one, or takes one out.
std::vector<Edit> move_divider(const Model& model, const std::string& chain, std::size_t divider,
                               double x_mm);
std::vector<Edit> add_divider(const Model& model, const std::string& chain, double x_mm);
std::vector<Edit> remove_divider(const Model& model, const std::string& chain, std::size_t divider);

}  // namespace bight::editor
