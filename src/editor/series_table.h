#pragma once
// The curves along a tour as text for a spreadsheet.

#include <string>

#include "base/units.h"
#include "editor/series.h"

namespace bight::editor {

/// One line a sample, columns parted by tabs: time in s, then each series with its unit in the
/// heading; an unknown value leaves its cell empty. Lengths in the unit asked for.
std::string series_text(const TourSeries& series, LengthUnit unit);

}  // namespace bight::editor
