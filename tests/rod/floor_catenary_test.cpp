#include "rod/floor_catenary.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "base/tolerance.h"
#include "rod/catenary.h"
#include "rod/catenary_length.h"

namespace bight::rod {
namespace {

/// End held on the floor; integration from the touchdown point agrees to 1e-12 mm.
struct Row {
  double height, dx, length;
  double a, h, hanging, touch, lying, tension, slope;
};

constexpr Row k_rows[] = {
    {400, 900, 1100, 241.60870, 0.23693720, 594.37948, 394.37948, 505.62052, 0.62920320, -67.87880},
    {300, 500, 620, 329.52278, 0.32315146, 536.38947, 416.38947, 83.61053, 0.61735096, -58.43614},
};

TEST(FloorCatenary, AgreesWithIntegrationFromTheTouchdownPoint) {
  for (const Row& r : k_rows) {
    const FloorCatenary c = solve_floor_catenary({r.dx, r.height, 0.0, r.length, 0.1});
    ASSERT_EQ(c.status, FloorCatenaryStatus::lies);
    EXPECT_NEAR(c.parameter_mm, r.a, 0.51e-5);
    EXPECT_NEAR(c.horizontal_force_N, r.h, 0.51e-8);
    EXPECT_NEAR(c.hanging_start_mm, r.hanging, 0.51e-5);
    EXPECT_NEAR(c.touch_start_x_mm, r.touch, 0.51e-5);
    EXPECT_NEAR(c.lying_mm, r.lying, 0.51e-5);
    EXPECT_NEAR(c.tension_start_N, r.tension, 0.51e-8);
    EXPECT_NEAR(c.slope_start_deg, r.slope, 0.51e-5);
    EXPECT_EQ(c.hanging_end_mm, 0.0);
  }
}

TEST(FloorCatenary, IsTwoPiecesThatEachBalanceAtTheSameHorizontalForce) {
  const FloorCatenary c = solve_floor_catenary({1000.0, 300.0, 180.0, 1150.0, 0.1});
  ASSERT_EQ(c.status, FloorCatenaryStatus::lies);
  EXPECT_NEAR(c.hanging_start_mm + c.lying_mm + c.hanging_end_mm, 1150.0, 1e-9);
  const double w = 0.1 * k_gravity / 1000.0;
  // Each piece: T^2 = H^2 + (w s)^2.
  EXPECT_NEAR(std::hypot(c.horizontal_force_N, w * c.hanging_start_mm), c.tension_start_N, 1e-12);
  EXPECT_NEAR(std::hypot(c.horizontal_force_N, w * c.hanging_end_mm), c.tension_end_N, 1e-12);
  // The piece at the start is a catenary of its own, level at the floor.
  const Catenary piece = solve_catenary({c.touch_start_x_mm, -300.0, c.hanging_start_mm, 0.1});
  EXPECT_NEAR(piece.slope_end_deg, 0.0, 1e-6);
  EXPECT_NEAR(piece.parameter_mm, c.parameter_mm, 1e-6);
}

TEST(FloorCatenary, SaysWhenItHangsClearAndTouchesJustBeyond) {
  const double just = length_for_lowest(1000.0, 300.0, 180.0);
  EXPECT_EQ(solve_floor_catenary({1000.0, 300.0, 180.0, just * (1.0 - 1e-9), 0.1}).status,
            FloorCatenaryStatus::clear);
  const FloorCatenary c = solve_floor_catenary({1000.0, 300.0, 180.0, just * (1.0 + 1e-9), 0.1});
  EXPECT_EQ(c.status, FloorCatenaryStatus::lies);
  EXPECT_NEAR(c.lying_mm, 0.0, 1e-3);
  EXPECT_GE(c.lying_mm, 0.0);
}

TEST(FloorCatenary, HeapsUpWhenItIsTooLongToPull) {
  const FloorCatenary c = solve_floor_catenary({100.0, 300.0, 0.0, 401.0, 0.1});
  EXPECT_EQ(c.status, FloorCatenaryStatus::heaped);
  EXPECT_EQ(c.horizontal_force_N, 0.0);
  EXPECT_NEAR(c.tension_start_N, 0.3 * 0.1 * k_gravity, 1e-15);
  EXPECT_DOUBLE_EQ(c.lying_mm, 101.0);
}

TEST(FloorCatenary, RefusesWhatDoesNotReachOrIsOutOfRange) {
  EXPECT_EQ(solve_floor_catenary({400.0, 300.0, 0.0, 499.0, 0.1}).status,
            FloorCatenaryStatus::too_short);
  EXPECT_EQ(solve_floor_catenary({400.0, -1.0, 0.0, 600.0, 0.1}).status,
            FloorCatenaryStatus::invalid);
  EXPECT_EQ(solve_floor_catenary({400.0, std::numeric_limits<double>::quiet_NaN(), 0.0, 600.0, 0.1})
                .status,
            FloorCatenaryStatus::invalid);
}

}  // namespace
}  // namespace bight::rod
