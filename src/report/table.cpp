#include "report/table.h"

#include <algorithm>
#include <numeric>
#include <sstream>
#include <utility>

namespace bight::report {
namespace {

using Row = std::vector<std::string>;

constexpr std::size_t k_gap = 2;             ///< spaces between columns
constexpr std::size_t k_narrow_column = 20;  ///< text is not wrapped narrower than this

/// Code points of UTF-8 text.
std::size_t width_of(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
  }));
}

std::size_t leading_spaces(const std::string& text) {
  return std::min(text.find_first_not_of(' '), text.size());
}

std::size_t longest_word(const std::string& text) {
  std::istringstream words(text);
  std::string word;
  std::size_t longest = 0;
  while (words >> word) longest = std::max(longest, width_of(word));
  return leading_spaces(text) + longest;
}

/// Widths of the columns as they are, and the least that they can be wrapped to.
struct Widths {
  std::vector<std::size_t> natural;
  std::vector<std::size_t> least;
};

Widths widths_of(const std::vector<Row>& rows, const std::vector<Align>& align) {
  Widths widths{std::vector<std::size_t>(align.size(), 0),
                std::vector<std::size_t>(align.size(), 0)};
  for (std::size_t r = 0; r < rows.size(); ++r) {
    for (std::size_t c = 0; c < rows[r].size(); ++c) {
      const std::string& cell = rows[r][c];
      // Numbers stay whole, headings and text may be broken at spaces.
      const bool whole = align[c] == Align::right && r > 0;
      widths.natural[c] = std::max(widths.natural[c], width_of(cell));
      widths.least[c] = std::max(widths.least[c], whole ? width_of(cell) : longest_word(cell));
    }
  }
  for (std::size_t c = 0; c < align.size(); ++c) {
    if (align[c] == Align::left) widths.least[c] = std::max(widths.least[c], k_narrow_column);
    widths.least[c] = std::min(widths.least[c], widths.natural[c]);
  }
  return widths;
}

std::size_t total(const std::vector<std::size_t>& widths, std::size_t indent) {
  return std::accumulate(widths.begin(), widths.end(), indent) + k_gap * (widths.size() - 1);
}

/// The widest column that can be narrower gives way first.
std::vector<std::size_t> fitted(const Widths& widths, std::size_t indent, std::size_t page) {
  std::vector<std::size_t> fit = widths.natural;
  while (total(fit, indent) > page) {
    std::size_t widest = fit.size();
    for (std::size_t c = 0; c < fit.size(); ++c) {
      if (fit[c] > widths.least[c] && (widest == fit.size() || fit[c] > fit[widest])) widest = c;
    }
    if (widest == fit.size()) break;
    --fit[widest];
  }
  return fit;
}

/// The lines of a cell in a column of the given width.
Row lines_of(const std::string& cell, std::size_t width) {
  if (width_of(cell) <= width) return {cell};
  const std::string indent(leading_spaces(cell), ' ');
  std::istringstream text(wrapped(cell, width - std::min(width, indent.size()), 0));
  Row lines;
  for (std::string line; std::getline(text, line);) lines.push_back(indent + line);
  return lines;
}

std::string row_text(const Row& row, const std::vector<Align>& align,
                     const std::vector<std::size_t>& widths, std::size_t indent) {
  std::vector<Row> cells;
  std::size_t height = 1;
  for (std::size_t c = 0; c < row.size(); ++c) {
    cells.push_back(lines_of(row[c], widths[c]));
    height = std::max(height, cells.back().size());
  }
  std::string text;
  for (std::size_t k = 0; k < height; ++k) {
    std::string line(indent, ' ');
    for (std::size_t c = 0; c < cells.size(); ++c) {
      if (c > 0) line += std::string(k_gap, ' ');
      const std::string cell = k < cells[c].size() ? cells[c][k] : "";
      const std::string gap(widths[c] - std::min(widths[c], width_of(cell)), ' ');
      line += align[c] == Align::right ? gap + cell : cell + gap;
    }
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + "\n";
  }
  return text;
}

/// The first column with the columns [from, end).
std::vector<Row> columns_of(const std::vector<Row>& rows, std::size_t from, std::size_t end) {
  std::vector<Row> part;
  for (const Row& row : rows) {
    part.push_back({row.front()});
    part.back().insert(part.back().end(), row.begin() + static_cast<std::ptrdiff_t>(from),
                       row.begin() + static_cast<std::ptrdiff_t>(end));
  }
  return part;
}

}  // namespace

std::string table_text(const std::vector<Row>& rows, const std::vector<Align>& align,
                       std::size_t indent, std::size_t page) {
  const Widths widths = widths_of(rows, align);
  const std::size_t columns = align.size();
  if (total(widths.least, indent) <= page || columns < 3) {
    const std::vector<std::size_t> fit = fitted(widths, indent, page);
    std::string text;
    for (const Row& row : rows) text += row_text(row, align, fit, indent);
    return text;
  }
  // Too many columns: tables below each other.
  std::string text;
  for (std::size_t from = 1; from < columns;) {
    std::size_t end = from;
    std::size_t used = indent + widths.least[0];
    while (end < columns && (end == from || used + k_gap + widths.least[end] <= page)) {
      used += k_gap + widths.least[end++];
    }
    std::vector<Align> part = {align.front()};
    part.insert(part.end(), align.begin() + static_cast<std::ptrdiff_t>(from),
                align.begin() + static_cast<std::ptrdiff_t>(end));
    text +=
        (text.empty() ? "" : "\n") + table_text(columns_of(rows, from, end), part, indent, page);
    from = end;
  }
  return text;
}

std::string wrapped(const std::string& text, std::size_t width, std::size_t indent) {
  std::istringstream words(text);
  std::string word;
  std::string out;
  std::size_t column = indent;
  while (words >> word) {
    const std::size_t length = width_of(word);
    if (!out.empty() && column + 1 + length > width) {
      out += "\n" + std::string(indent, ' ');
      column = indent;
    } else if (!out.empty()) {
      out += ' ';
      ++column;
    }
    out += word;
    column += length;
  }
  return out;
}

std::string fitted_lines(const std::string& text, std::size_t width) {
  std::istringstream lines(text);
  std::string out;
  for (std::string line; std::getline(lines, line);) {
    if (width_of(line) <= width) {
      out += line + "\n";
      continue;
    }
    const std::size_t lead = leading_spaces(line);
    const std::size_t gap = line.rfind("  ");
    const bool column = gap != std::string::npos && gap >= lead && gap < width / 2;
    const std::size_t start = column ? gap + 2 : lead;
    const std::size_t indent = column ? start : lead + 2;
    const bool is_command = line.find("bight ") != std::string::npos && !column;
    const std::string rest = wrapped(line.substr(start), width - (is_command ? 2 : 0), indent);
    for (const char c : line.substr(0, start) + rest) {
      if (c == '\n' && is_command) out += " \\";
      out += c;
    }
    out += "\n";
  }
  return out;
}

}  // namespace bight::report
