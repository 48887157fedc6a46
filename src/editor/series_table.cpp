#include "editor/series_table.h"

#include <cmath>

#include "base/number.h"

namespace bight::editor {

std::string series_text(const TourSeries& series, LengthUnit unit) {
  const bool inches = unit == LengthUnit::inch;
  std::string text = "time, s";
  for (const Series& s : series.series) {
    text += "\t" + s.name + ", " + (s.unit == "mm" && inches ? "in" : s.unit);
  }
  text += "\n";
  for (std::size_t i = 0; i < series.time_s.size(); ++i) {
    text += fixed(series.time_s[i], 2);
    for (const Series& s : series.series) {
      text += "\t";
      if (i >= s.values.size() || !std::isfinite(s.values[i])) continue;
      const bool converted = s.unit == "mm" && inches;
      text += fixed(converted ? s.values[i] / k_mm_per_inch : s.values[i], converted ? 4 : 2);
    }
    text += "\n";
  }
  return text;
}

}  // namespace bight::editor
