#include "view/number_field.h"

#include <gtest/gtest.h>

namespace bight::view {
namespace {

TEST(NumberField, LengthMayBeTypedInItsOwnUnit) {
  EXPECT_EQ(typed_number("12.5", "mm", true), 12.5);
  EXPECT_EQ(typed_number("1.2 m", "mm", true), 1200.0);
  EXPECT_EQ(typed_number("2cm", "mm", true), 20.0);
  EXPECT_EQ(typed_number("2 in", "mm", true), 50.8);
  EXPECT_EQ(typed_number("25.4 mm", "in", true), 1.0);
  EXPECT_EQ(typed_number("3", "in", true), 3.0);
}

TEST(NumberField, CommaIsAPoint) {
  EXPECT_EQ(typed_number("12,5", "mm", true), 12.5);
  EXPECT_FALSE(typed_number("1,200.5", "mm", true));
}

TEST(NumberField, OtherUnitsAreTakenOnlyAsTheyAre) {
  EXPECT_EQ(typed_number("5 N", "N", false), 5.0);
  EXPECT_FALSE(typed_number("5 m", "N", false));
  EXPECT_FALSE(typed_number("wide", "mm", true));
  EXPECT_FALSE(typed_number("", "mm", true));
  EXPECT_FALSE(typed_number("inf", "mm", true));
}

TEST(NumberField, ZerosAtTheEndAreLeftOut) {
  EXPECT_EQ(trimmed(1200.0, 1), "1200");
  EXPECT_EQ(trimmed(12.50, 3), "12.5");
  EXPECT_EQ(trimmed(-0.00001, 2), "0");
}

}  // namespace
}  // namespace bight::view
