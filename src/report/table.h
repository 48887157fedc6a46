#pragma once
// Aligned columns of text.

#include <string>
#include <vector>

namespace bight::report {

enum class Align { left, right };

/// Rows of equal length; the first is the heading. Columns are two spaces apart, every line starts
/// with `indent` spaces, no line ends in spaces. Text counts by code points, so accents and signs
/// align.
std::string table_text(const std::vector<std::vector<std::string>>& rows,
                       const std::vector<Align>& align, std::size_t indent = 2);

/// Breaks text at spaces so that no line is longer than `width`; lines after the first start with
/// `indent` spaces.
std::string wrapped(const std::string& text, std::size_t width, std::size_t indent);

}  // namespace bight::report
