#include "report/table.h"

#include <algorithm>
#include <sstream>

namespace bight::report {
namespace {

/// Code points of UTF-8 text.
std::size_t width_of(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
  }));
}

}  // namespace

std::string table_text(const std::vector<std::vector<std::string>>& rows,
                       const std::vector<Align>& align, std::size_t indent) {
  std::vector<std::size_t> widths(align.size(), 0);
  for (const auto& row : rows) {
    for (std::size_t c = 0; c < row.size(); ++c) widths[c] = std::max(widths[c], width_of(row[c]));
  }
  std::string text;
  for (const auto& row : rows) {
    std::string line(indent, ' ');
    for (std::size_t c = 0; c < row.size(); ++c) {
      if (c > 0) line += "  ";
      const std::string gap(widths[c] - width_of(row[c]), ' ');
      line += align[c] == Align::right ? gap + row[c] : row[c] + gap;
    }
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + "\n";
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

}  // namespace bight::report
