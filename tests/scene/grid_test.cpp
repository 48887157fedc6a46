#include "scene/grid.h"

#include <gtest/gtest.h>

#include <cmath>

namespace bight::scene {
namespace {

TEST(Grid, StepsAreOneTwoOrFiveTimesAPowerOfTen) {
  EXPECT_DOUBLE_EQ(grid_step(LengthUnit::mm, 1.0, 60.0), 100.0);
  EXPECT_DOUBLE_EQ(grid_step(LengthUnit::mm, 0.5, 60.0), 50.0);
  EXPECT_DOUBLE_EQ(grid_step(LengthUnit::mm, 0.02, 60.0), 2.0);
  EXPECT_NEAR(grid_step(LengthUnit::mm, 0.0001, 60.0), 0.01, 1e-12);
  EXPECT_DOUBLE_EQ(grid_step(LengthUnit::mm, 10.0, 100.0), 1000.0);
}

TEST(Grid, InchStepsAreThoseOfARule) {
  const double per_px = k_mm_per_inch / 60.0;  // an inch spans 60 pixels
  EXPECT_NEAR(grid_step(LengthUnit::inch, per_px, 60.0), k_mm_per_inch, 1e-9);
  EXPECT_NEAR(grid_step(LengthUnit::inch, per_px, 14.0), 0.25 * k_mm_per_inch, 1e-9);
  EXPECT_NEAR(grid_step(LengthUnit::inch, 5.0 * per_px, 60.0), 6.0 * k_mm_per_inch, 1e-9);
  EXPECT_NEAR(grid_step(LengthUnit::inch, 20.0 * per_px, 60.0), 24.0 * k_mm_per_inch, 1e-9);
}

TEST(Grid, NoStepIsShorterThanAsked) {
  for (double per_px = 1e-3; per_px < 100.0; per_px *= 1.37) {
    for (const LengthUnit unit : {LengthUnit::mm, LengthUnit::inch}) {
      const double step = grid_step(unit, per_px, 60.0);
      EXPECT_GE(step, 60.0 * per_px * (1.0 - 1e-12));
      EXPECT_LE(step, 60.0 * per_px * 3.1);
    }
  }
}

TEST(Grid, ValuesIncludeBothBordersAndNothingBeyond) {
  const auto values = grid_values(-20.0, 40.0, 20.0);
  ASSERT_EQ(values.size(), 4U);
  EXPECT_DOUBLE_EQ(values.front(), -20.0);
  EXPECT_DOUBLE_EQ(values.back(), 40.0);
  EXPECT_TRUE(grid_values(1.0, 2.0, 5.0).empty());
  EXPECT_TRUE(grid_values(0.0, std::nan(""), 5.0).empty());
  EXPECT_EQ(grid_values(0.0, 1e9, 0.001).size(), k_grid_lines);
}

TEST(Grid, NumbersHaveTheDecimalsOfTheirStep) {
  EXPECT_EQ(grid_text(250.0, 50.0, LengthUnit::mm), "250");
  EXPECT_EQ(grid_text(0.5, 0.1, LengthUnit::mm), "0.5");
  EXPECT_EQ(grid_text(-0.0, 0.1, LengthUnit::mm), "0.0");
  EXPECT_EQ(grid_text(1.5 * k_mm_per_inch, 0.25 * k_mm_per_inch, LengthUnit::inch), "1.50");
}

}  // namespace
}  // namespace bight::scene
