#include "view/handle_drag.h"

#include <gtest/gtest.h>

#include <limits>

namespace bight::view {
namespace {

std::string words(double min_mm, double max_mm, double length_mm, bool given = true) {
  study::FreeRunFigures run;
  run.min_mm = min_mm;
  run.max_mm = max_mm;
  run.length_mm = length_mm;
  run.length_given = given;
  return window_words(run, LengthUnit::mm);
}

TEST(HandleDrag, SaysWhetherTheLengthThatIsSetFits) {
  EXPECT_EQ(words(1100.0, 1300.0, 1150.0), "from 1100 mm to 1300 mm; 1150 mm fits");
  EXPECT_EQ(words(1167.0, 1300.0, 1150.0), "from 1167 mm to 1300 mm; 1150 mm is too short");
  EXPECT_EQ(words(900.0, 1000.0, 1150.0), "from 900 mm to 1000 mm; 1150 mm is too long");
}

TEST(HandleDrag, SaysTheWindowAloneWhereNoLengthIsSet) {
  EXPECT_EQ(words(1100.0, 1300.0, 1200.0, false), "from 1100 mm to 1300 mm");
  EXPECT_EQ(words(1100.0, std::numeric_limits<double>::infinity(), 1200.0, false), "from 1100 mm");
  EXPECT_EQ(words(1300.0, 1100.0, 1200.0), "no length works");
}

}  // namespace
}  // namespace bight::view
