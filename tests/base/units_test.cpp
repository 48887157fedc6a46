#include "base/units.h"

#include <gtest/gtest.h>

namespace bight {
namespace {

TEST(LengthText, IsRoundedToTheSideThatIsAskedFor) {
  EXPECT_EQ(length_text(1167.4, LengthUnit::mm, 0), "1167 mm");
  EXPECT_EQ(length_text_at_least(1167.0106, LengthUnit::mm, 0), "1168 mm");
  EXPECT_EQ(length_text_at_most(1277.84, LengthUnit::mm, 0), "1277 mm");
  EXPECT_EQ(length_text_at_most(4.996, LengthUnit::mm, 2), "4.99 mm");
  // 25.4 mm an inch: 4.996 mm are 0.19669 in.
  EXPECT_EQ(length_text_at_least(4.996, LengthUnit::inch), "0.197 in");
  EXPECT_EQ(length_text_at_most(4.996, LengthUnit::inch), "0.196 in");
}

TEST(LengthText, ARoundingErrorIsNoDigitMore) {
  EXPECT_EQ(length_text_at_least(12.3000000001, LengthUnit::mm), "12.3 mm");
  EXPECT_EQ(length_text_at_most(12.2999999999, LengthUnit::mm), "12.3 mm");
}

}  // namespace
}  // namespace bight
