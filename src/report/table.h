#pragma once
// Aligned columns of text.

#include <string>
#include <vector>

#include "report/page.h"

namespace bight::report {

enum class Align { left, right };

/// Rows of equal length; the first is the heading. Columns are two spaces apart, every line starts
/// with `indent` spaces, no line ends in spaces. Text counts by code points, so accents and signs
/// align. What is wider than `page` is wrapped at spaces: text and headings, never numbers; with
/// more columns than a page holds the table goes on below itself, with its first column again.
std::string table_text(const std::vector<std::vector<std::string>>& rows,
                       const std::vector<Align>& align, std::size_t indent = 2,
                       std::size_t page = k_page_width);

/// Breaks text at spaces so that no line is longer than `width`; lines after the first start with
/// `indent` spaces.
std::string wrapped(const std::string& text, std::size_t width, std::size_t indent);

/// Breaks the lines of a page that are longer than `width` at spaces. A line goes on under the text
/// of its last column (behind two spaces or more), else two spaces further in; commands of the
/// program go on behind a backslash, so that they can be copied.
std::string fitted_lines(const std::string& text, std::size_t width = k_page_width);

}  // namespace bight::report
