#pragma once
// Comparison of options, lengths and prices as plain tables of text, for the window's tables and
// its clipboard.

#include <string>
#include <vector>

#include "base/units.h"
#include "plan/plan.h"
#include "study/compare.h"
#include "study/study.h"

namespace bight::editor {

/// How a cell is to be read at a glance.
enum class Tone { plain, good, caution, bad };

struct Cell {
  std::string text;
  double value = 0.0;  ///< for sorting; NaN: sort by text
  Tone tone = Tone::plain;
};

struct Table {
  std::string title;
  std::vector<std::string> columns;
  std::vector<std::vector<Cell>> rows;
  std::string note;  ///< a sentence below it
};

/// One column an option, best first; one row a figure.
Table comparison_table(const study::Comparison& comparison, const std::string& currency,
                       LengthUnit unit);

/// One row a line, then its total.
Table length_table(const std::vector<study::LineFigures>& lines, const std::string& currency,
                   LengthUnit unit);

/// What to buy of each article, and in all.
Table price_table(const std::vector<line::Drum>& drums, const std::string& currency,
                  LengthUnit unit);

/// Tab-separated, for pasting into a spreadsheet.
std::string table_text(const Table& table);

}  // namespace bight::editor
