#include "view/axis_ticks.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace bight::view {
namespace {

TEST(AxisTicks, StepsAreOneTwoOrFiveTimesAPowerOfTen) {
  for (double span = 1e-6; span < 1e9; span *= 1.37) {
    const AxisTicks ticks = axis_ticks(-0.3 * span, 0.7 * span, 600.0, 90.0);
    const double digit = ticks.step / std::pow(10.0, std::floor(std::log10(ticks.step) + 1e-9));
    EXPECT_TRUE(std::abs(digit - 1.0) < 1e-6 || std::abs(digit - 2.0) < 1e-6 ||
                std::abs(digit - 5.0) < 1e-6)
        << ticks.step;
    EXPECT_GE(ticks.values.size(), 2U);
    EXPECT_LE(ticks.values.size(), 9U);
  }
}

TEST(AxisTicks, EndsThatAreTicksAreKeptInSpiteOfRounding) {
  const AxisTicks ticks = axis_ticks(0.0, 0.3, 300.0, 100.0);
  EXPECT_EQ(ticks.values.size(), 4U);
  EXPECT_EQ(ticks.decimals, 1);
}

TEST(AxisTicks, WhatIsNoAxisHasNone) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_TRUE(axis_ticks(1.0, 1.0, 100.0, 50.0).values.empty());
  EXPECT_TRUE(axis_ticks(nan, 1.0, 100.0, 50.0).values.empty());
  EXPECT_TRUE(axis_ticks(0.0, 1.0, 0.0, 50.0).values.empty());
  EXPECT_TRUE(axis_ticks(2.0, 1.0, 100.0, 50.0).values.empty());
}

}  // namespace
}  // namespace bight::view
