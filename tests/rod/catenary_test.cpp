#include "rod/catenary.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

#include "base/tolerance.h"

namespace bight::rod {
namespace {

/// Computed in 40-digit arithmetic; integration of the string equation from the start reaches the
/// end within 5e-12 mm.
struct Row {
  const char* id;
  double dx, dz, length, mass;
  double a, x0, z0, h, va, vb, ta, tb;
  double slope_a, slope_b, theta_a, theta_b, lowest, drop, drop_x, half_x, half_z;
};

constexpr Row k_rows[] = {
    {"level, slack", 800,        0,          1000,        0.1,        338.20188,
     400.00000,      -265.43751, 0.33166275, -0.49033250, 0.49033250, 0.59196802,
     0.59196802,     -1.4784069, 1.4784069,  -55.92543,   55.92543,   -265.43751,
     265.43751,      400.00000,  400.00000,  -265.43751},
    {"level, rather taut",
     800,
     0,
     810,
     0.1,
     1463.32419,
     400.00000,
     -55.01131,
     1.43503082,
     -0.39716933,
     0.39716933,
     1.48897849,
     1.48897849,
     -0.2767671,
     0.2767671,
     -15.47034,
     15.47034,
     -55.01131,
     55.01131,
     400.00000,
     400.00000,
     -55.01131},
    {"level, deep", 300,        0,          1000,        0.085,      50.04437,
     150.00000,     -452.45383, 0.04171524, -0.41678263, 0.41678263, 0.41886504,
     0.41886504,    -9.9911348, 9.9911348,  -84.28437,   84.28437,   -452.45383,
     452.45383,     150.00000,  150.00000,  -452.45383},
    {"rising",   600,         250,        900,        0.12,       195.57525,  244.20777, -173.33548,
     0.23015257, -0.36810544, 0.69101276, 0.43413341, 0.72833291, -1.5993975, 3.0024117, -57.98492,
     71.57886,   -173.33548,  291.83201,  323.50671,  372.09458,  -130.01156},
    {"falling",  500,         -400,       700,        0.06,       270.19906,  425.53252, -410.32682,
     0.15898486, -0.36750591, 0.04437339, 0.40042075, 0.16506115, -2.3115780, 0.2791045, -66.60645,
     15.59466,   -410.32682,  152.44925,  227.56625,  184.29658,  -295.29203},
    {"lowest at its start",
     400,
     600,
     740,
     0.2,
     287.17639,
     -124.33450,
     -27.33871,
     0.56324767,
     0.25155133,
     1.70293553,
     0.61686790,
     1.79366590,
     0.4466087,
     3.0234223,
     24.06596,
     71.69831,
     0.00000,
     124.96044,
     218.77329,
     254.29014,
     260.57516},
    {"nearly two strands",
     50,
     0,
     1200,
     0.1,
     4.47014,
     25.00000,
     -595.54652,
     0.00438371,
     -0.58839900,
     0.58839900,
     0.58841533,
     0.58841533,
     -134.2241297,
     134.2241297,
     -89.57314,
     89.57314,
     -595.54652,
     595.54652,
     25.00000,
     25.00000,
     -595.54652},
};

TEST(Catenary, AgreesWithFortyDigitArithmeticToEachPrintedDigit) {
  for (const Row& r : k_rows) {
    SCOPED_TRACE(r.id);
    const CatenaryProblem problem{r.dx, r.dz, r.length, r.mass};
    const Catenary c = solve_catenary(problem);
    ASSERT_EQ(c.status, CatenaryStatus::hangs);
    constexpr double k_mm = 0.51e-5;
    constexpr double k_force = 0.51e-8;
    EXPECT_NEAR(c.parameter_mm, r.a, k_mm);
    EXPECT_NEAR(c.horizontal_force_N, r.h, k_force);
    EXPECT_NEAR(c.vertical_start_N, r.va, k_force);
    EXPECT_NEAR(c.vertical_end_N, r.vb, k_force);
    EXPECT_NEAR(c.tension_start_N, r.ta, k_force);
    EXPECT_NEAR(c.tension_end_N, r.tb, k_force);
    EXPECT_NEAR(c.vertical_start_N / c.horizontal_force_N, r.slope_a, 0.51e-7);
    EXPECT_NEAR(c.vertical_end_N / c.horizontal_force_N, r.slope_b, 0.51e-7);
    EXPECT_NEAR(c.slope_start_deg, r.theta_a, k_mm);
    EXPECT_NEAR(c.slope_end_deg, r.theta_b, k_mm);
    EXPECT_NEAR(c.lowest.y, r.lowest, k_mm);
    EXPECT_NEAR(c.sag_mm, r.drop, k_mm);
    EXPECT_NEAR(c.sag_at_x_mm, r.drop_x, k_mm);
    const Vec2 half = catenary_point(problem, c, r.length / 2);
    EXPECT_NEAR(half.x, r.half_x, k_mm);
    EXPECT_NEAR(half.y, r.half_z, k_mm);
    if (r.x0 > 0.0) {  // the lowest point of the curve lies on the line
      EXPECT_NEAR(c.lowest.x, r.x0, k_mm);
      EXPECT_NEAR(c.lowest.y, r.z0, k_mm);
      EXPECT_NEAR(c.smallest_radius_mm, r.a, k_mm);
    } else {  // the radius at a height y above the directrix is y^2 / a
      const double y = r.a - r.z0;
      EXPECT_NEAR(c.smallest_radius_mm, y * y / r.a, 1e-4);
    }
  }
}

// Beer and Johnston, Vector Mechanics for Engineers: Statics, problems 7.127, 7.128 and 7.136 (data
// read, printed answers quoted from memory). Any unit of length does; forces as weight.
TEST(Catenary, MatchesProblemsOfBeerAndJohnston) {
  {
    const CatenaryProblem p{12.3594, 0.0, 25.0, 30.0 / 25.0 * 1000.0 / k_gravity};
    const Catenary c = solve_catenary(p);  // chain of 25 ft and 30 lb, sag 10 ft
    EXPECT_NEAR(c.sag_mm, 10.0, 2e-4);
    EXPECT_NEAR(c.tension_start_N, 15.375, 2e-4);
  }
  {
    const CatenaryProblem p{411.980, 0.0, 500.0, 2.8 * 1000.0 / k_gravity};
    const Catenary c = solve_catenary(p);  // cable of 500 ft, 2.8 lb/ft, sag 125 ft
    EXPECT_NEAR(c.sag_mm, 125.0, 2e-3);
    EXPECT_NEAR(c.tension_end_N, 875.0, 1e-2);
  }
  {
    const double mass = 56.571 / 90.0;  // wire of 90 m over 60 m, greatest tension 300 N
    const CatenaryProblem p{60e3, 0.0, 90e3, mass};
    const Catenary c = solve_catenary(p);
    EXPECT_NEAR(c.sag_mm, 30.1580e3, 0.1);
    EXPECT_NEAR(c.tension_end_N * 9.81 / k_gravity, 300.0, 5e-3);
  }
}

// Hibbeler, Engineering Mechanics: Statics, cable under its own weight: 5 N/m, span 20 m, sag 6 m
// (example from memory).
TEST(Catenary, MatchesTheExampleOfHibbeler) {
  const Catenary c = solve_catenary({20e3, 0.0, 24.1882e3, 5.0 / k_gravity});
  EXPECT_NEAR(c.horizontal_force_N, 45.9447, 6e-4);
  EXPECT_NEAR(c.tension_end_N, 75.9447, 6e-4);
  EXPECT_NEAR(c.sag_mm, 6000.0, 0.1);
  EXPECT_NEAR(c.slope_end_deg, 52.7729, 2e-4);
}

TEST(Catenary, RefusesALineThatDoesNotReach) {
  const Catenary c = solve_catenary({300.0, 400.0, 499.0, 0.1});
  EXPECT_EQ(c.status, CatenaryStatus::too_short);
  EXPECT_NEAR(c.short_by_mm, 1.0, 1e-12);
  EXPECT_FALSE(c.has_shape());
}

TEST(Catenary, IsAStraightLineWithUnboundedForceWhenJustLongEnough) {
  const CatenaryProblem p{300.0, -400.0, 500.0, 0.1};
  const Catenary c = solve_catenary(p);
  EXPECT_EQ(c.status, CatenaryStatus::straight);
  EXPECT_EQ(c.horizontal_force_N, std::numeric_limits<double>::infinity());
  EXPECT_NEAR(c.slope_start_deg, -53.13010235415598, 1e-12);
  EXPECT_EQ(c.lowest, Vec2(300.0, -400.0));
  EXPECT_EQ(catenary_point(p, c, 250.0), Vec2(150.0, -200.0));
}

TEST(Catenary, TakesALengthComputedAsTheDistanceForStraight) {
  std::mt19937 random(1);
  std::uniform_real_distribution<double> any(1.0, 2000.0);
  for (int i = 0; i < 2000; ++i) {
    const double dx = any(random);
    const double dz = any(random);
    EXPECT_EQ(solve_catenary({dx, dz, std::hypot(dx, dz), 0.1}).status, CatenaryStatus::straight);
  }
}

TEST(Catenary, HangsInTwoVerticalStrandsWhenOneEndIsAboveTheOther) {
  const CatenaryProblem p{0.0, 100.0, 700.0, 0.2};
  const Catenary c = solve_catenary(p);
  ASSERT_EQ(c.status, CatenaryStatus::vertical);
  EXPECT_DOUBLE_EQ(c.lowest.y, -300.0);
  EXPECT_EQ(c.horizontal_force_N, 0.0);
  EXPECT_NEAR(c.tension_start_N, 0.3 * 0.2 * k_gravity, 1e-14);
  EXPECT_NEAR(c.tension_end_N, 0.4 * 0.2 * k_gravity, 1e-14);
  EXPECT_NEAR(catenary_point(p, c, 350.0).y, -250.0, 1e-12);
  EXPECT_NEAR(catenary_point(p, c, 700.0).y, 100.0, 1e-12);
}

TEST(Catenary, TendsToTwoStrandsAsTheEndsComeTogether) {
  for (double dx : {1e-3, 1e-9, 1e-30, 1e-200}) {
    const CatenaryProblem p{dx, 100.0, 700.0, 0.2};
    const Catenary c = solve_catenary(p);
    ASSERT_EQ(c.status, CatenaryStatus::hangs) << dx;
    EXPECT_NEAR(c.lowest.y, -300.0, dx);
    // sinh(u) / u = S / dx put back together in logarithms, where nothing overflows.
    const double u = dx / (2.0 * c.parameter_mm);
    const double s = std::log(std::sqrt(700.0 * 700.0 - 100.0 * 100.0) / dx);
    EXPECT_NEAR(u + std::log1p(-std::exp(-2.0 * u)) - std::log(2.0 * u), s, 1e-13 * s);
    const Vec2 end = catenary_point(p, c, 700.0);
    EXPECT_NEAR(end.x, dx, 1e-12 * dx);
    EXPECT_NEAR(end.y, 100.0, 1e-10);
  }
}

// For small d = S/dx - 1 the root of sinh(u)/u = 1 + d is u^2 = 6 d - 9/5 d^2 + O(d^3); the excess
// is exact here because 800, 600 and 1000 are sides of a right triangle.
TEST(Catenary, KeepsTwelveDigitsWhenNearlyTaut) {
  for (int power : {20, 24, 28, 30}) {
    const double longer = std::ldexp(1.0, -power);
    const double excess = longer * (2000.0 + longer);
    const double q = excess / 640000.0;
    const double d = q / (1.0 + std::sqrt(1.0 + q));
    const double u = std::sqrt(6.0 * d * (1.0 - 0.3 * d));
    const Catenary c = solve_catenary({800.0, 600.0, 1000.0 + longer, 0.1});
    ASSERT_EQ(c.status, CatenaryStatus::hangs);
    EXPECT_NEAR(c.parameter_mm * 2.0 * u / 800.0, 1.0, 2e-12) << power;
    // Parabola: sag = chord dx / (8 a) for a line this taut, to order u^2.
    EXPECT_NEAR(c.sag_mm / (1000.0 * 800.0 / (8.0 * c.parameter_mm)), 1.0, 2.0 * u * u + 1e-12);
  }
}

TEST(Catenary, PointsCloseOnTheEndAndKeepTheirSpacing) {
  std::mt19937 random(2);
  std::uniform_real_distribution<double> any(0.0, 1.0);
  for (int i = 0; i < 500; ++i) {
    const double dx = std::pow(10.0, -3.0 + 6.0 * any(random));
    const double dz = 1000.0 * (any(random) - 0.5);
    const double longer = std::pow(10.0, -6.0 + 7.0 * any(random));
    const CatenaryProblem p{dx, dz, std::hypot(dx, dz) * (1.0 + longer), 0.1};
    const Catenary c = solve_catenary(p);
    ASSERT_EQ(c.status, CatenaryStatus::hangs);
    const Vec2 end = catenary_point(p, c, p.length_mm);
    EXPECT_NEAR(end.x, dx, 1e-11 * p.length_mm);
    EXPECT_NEAR(end.y, dz, 1e-11 * p.length_mm);
    // A chord between near points is at most as long as the line between them, and nearly so.
    const double s = p.length_mm * any(random);
    const double step = 1e-4 * std::min(c.smallest_radius_mm, p.length_mm);
    const double chord = glm::distance(catenary_point(p, c, s),
                                       catenary_point(p, c, std::min(s + step, p.length_mm)));
    const double arc = std::min(s + step, p.length_mm) - s;
    EXPECT_NEAR(chord, arc, 1e-8 * arc + 1e-11 * p.length_mm);
    // Vertical balance: the ends carry the weight.
    EXPECT_NEAR(c.vertical_end_N - c.vertical_start_N, 0.1e-3 * k_gravity * p.length_mm,
                1e-12 * (c.tension_start_N + c.tension_end_N));
  }
}

TEST(Catenary, IsMirroredWhenItsEndsAreSwapped) {
  const Catenary a = solve_catenary({600.0, 250.0, 900.0, 0.12});
  const Catenary b = solve_catenary({600.0, -250.0, 900.0, 0.12});
  EXPECT_NEAR(a.horizontal_force_N, b.horizontal_force_N, 1e-15);
  EXPECT_NEAR(a.tension_end_N, b.tension_start_N, 1e-15);
  EXPECT_NEAR(a.slope_end_deg, -b.slope_start_deg, 1e-12);
  EXPECT_NEAR(a.lowest.y, b.lowest.y + 250.0, 1e-12);
  EXPECT_NEAR(a.sag_mm, b.sag_mm, 1e-12);
}

TEST(Catenary, RefusesValuesOutOfRange) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinity = std::numeric_limits<double>::infinity();
  for (const CatenaryProblem& p :
       {CatenaryProblem{-1.0, 0.0, 10.0, 0.1}, CatenaryProblem{nan, 0.0, 10.0, 0.1},
        CatenaryProblem{1.0, nan, 10.0, 0.1}, CatenaryProblem{1.0, 0.0, infinity, 0.1},
        CatenaryProblem{1.0, 0.0, 0.0, 0.1}, CatenaryProblem{1.0, 0.0, 10.0, 0.0},
        CatenaryProblem{1.0, 0.0, 10.0, nan}}) {
    EXPECT_EQ(solve_catenary(p).status, CatenaryStatus::invalid);
  }
}

}  // namespace
}  // namespace bight::rod
