#include "editor/series_table.h"

#include <gtest/gtest.h>

#include <cmath>

namespace bight::editor {
namespace {

TEST(SeriesTable, HasALineASampleAndLeavesUnknownValuesEmpty) {
  TourSeries series;
  series.time_s = {0.0, 1.5};
  series.series = {{"clearance", "mm", {25.4, 50.8}, {}},
                   {"pull, a to b", "N", {std::nan(""), 3.0}, {}}};
  EXPECT_EQ(series_text(series, LengthUnit::mm),
            "time, s\tclearance, mm\tpull, a to b, N\n"
            "0.00\t25.40\t\n"
            "1.50\t50.80\t3.00\n");
  // 25.4 mm are an inch (ISO 31-1); newtons stay.
  EXPECT_EQ(series_text(series, LengthUnit::inch),
            "time, s\tclearance, in\tpull, a to b, N\n"
            "0.00\t1.0000\t\n"
            "1.50\t2.0000\t3.00\n");
}

}  // namespace
}  // namespace bight::editor
