#include "line/route.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace bight::line {
namespace {

RouteProblem route(std::vector<Vec3> points, double radius) {
  return {.points_mm = std::move(points), .bend_radius_mm = radius};
}

double polyline_length(const std::vector<Vec3>& line) {
  double sum = 0.0;
  for (std::size_t i = 1; i < line.size(); ++i) sum += glm::length(line[i] - line[i - 1]);
  return sum;
}

TEST(Route, LengthsWithRoundedCorners) {
  struct Case {
    std::vector<Vec3> points;
    double radius, sharp, rounded;
  };
  // Values worked out by hand from legs and turning angles.
  const std::vector<Case> cases{
      {{{0, 0, 0}, {300, 0, 0}, {300, 200, 0}}, 40, 500.00000, 482.83185},
      {{{0, 0, 0}, {400, 0, 0}, {400, 0, 250}, {150, 300, 250}}, 50, 1040.51248, 997.59212},
      {{{0, 0, 0}, {200, 0, 0}, {350, 150, 0}, {350, 150, 180}}, 30, 592.13203, 577.96506}};
  for (const Case& c : cases) {
    const RouteResult result = measure_route(route(c.points, c.radius));
    ASSERT_EQ(result.status, RouteStatus::ok);
    EXPECT_NEAR(result.sharp_mm, c.sharp, 5.01e-6);
    EXPECT_NEAR(result.length_mm, c.rounded, 5.01e-6);
  }
}

TEST(Route, OneRightAngleSavesTwoRadiiLessAQuarterTurn) {
  const RouteResult result = measure_route(route({{0, 0, 0}, {100, 0, 0}, {100, 0, 100}}, 20));
  EXPECT_NEAR(result.length_mm, 200.0 - 2 * 20 + M_PI / 2 * 20, 1e-12);
  ASSERT_EQ(result.bends.size(), 1U);
  EXPECT_NEAR(glm::length(result.bends[0].centre - Vec3(80, 0, 20)), 0.0, 1e-12);
  EXPECT_NEAR(glm::length(result.bends[0].from - Vec3(80, 0, 0)), 0.0, 1e-12);
  EXPECT_NEAR(glm::length(result.bends[0].to - Vec3(100, 0, 20)), 0.0, 1e-12);
}

TEST(Route, TheDrawnLineIsAsLongAsComputed) {
  const RouteProblem problem = route({{0, 0, 0}, {400, 0, 0}, {400, 0, 250}, {150, 300, 250}}, 50);
  const RouteResult result = measure_route(problem);
  const std::vector<Vec3> line = route_polyline(problem, result, 1e-5);
  EXPECT_NEAR(polyline_length(line), result.length_mm, 1e-3);
  for (const RouteBend& bend : result.bends) {
    const auto on_arc = std::count_if(line.begin(), line.end(), [&](const Vec3& p) {
      return std::abs(glm::length(p - bend.centre) - 50.0) < 1e-9;
    });
    EXPECT_GT(on_arc, 20);
  }
}

TEST(Route, BackwardsMirroredAndScaledItKeepsItsLength) {
  const std::vector<Vec3> points{{0, 0, 0}, {200, 0, 0}, {350, 150, 0}, {350, 150, 180}};
  const double length = measure_route(route(points, 30)).length_mm;
  std::vector<Vec3> back(points.rbegin(), points.rend());
  EXPECT_NEAR(measure_route(route(back, 30)).length_mm, length, 1e-11);
  std::vector<Vec3> mirrored = points;
  for (Vec3& p : mirrored) p.x = -p.x;
  EXPECT_NEAR(measure_route(route(mirrored, 30)).length_mm, length, 1e-11);
  std::vector<Vec3> scaled = points;
  for (Vec3& p : scaled) p *= 1000.0;
  EXPECT_NEAR(measure_route(route(scaled, 30000)).length_mm, 1000.0 * length, 1e-8);
}

TEST(Route, ALegTooShortForItsCornersIsNamedWithWhatItLacks) {
  // The middle leg is 60 mm; two right angles of 40 mm radius need 80 mm.
  const RouteResult result =
      measure_route(route({{0, 0, 0}, {200, 0, 0}, {200, 60, 0}, {400, 60, 0}}, 40));
  EXPECT_EQ(result.status, RouteStatus::leg_too_short);
  EXPECT_EQ(result.leg, 1U);
  EXPECT_NEAR(result.missing_mm, 20.0, 1e-12);
  EXPECT_NE(result.problem.find("from point 2 to point 3"), std::string::npos);
  EXPECT_NE(result.problem.find("20.0 mm more"), std::string::npos);
}

TEST(Route, ALegExactlyAsLongAsItsTangentsIsEnough) {
  const RouteResult result =
      measure_route(route({{0, 0, 0}, {200, 0, 0}, {200, 80, 0}, {400, 80, 0}}, 40));
  EXPECT_EQ(result.status, RouteStatus::ok);
}

TEST(Route, CornersTighterThanTheLineAllowsAreRefused) {
  RouteProblem problem = route({{0, 0, 0}, {200, 0, 0}, {200, 200, 0}}, 40);
  problem.smallest_radius_mm = 46.2;
  const RouteResult result = measure_route(problem);
  EXPECT_EQ(result.status, RouteStatus::radius_too_small);
  EXPECT_NEAR(result.missing_mm, 6.2, 1e-12);
  problem.points_mm.pop_back();  // a straight route has no bend to refuse
  EXPECT_EQ(measure_route(problem).status, RouteStatus::ok);
}

TEST(Route, PointsOnOneLineMakeNoBend) {
  const RouteResult result =
      measure_route(route({{0, 0, 0}, {100, 0, 0}, {100.5, 0, 0}, {300, 0, 0}}, 40));
  ASSERT_EQ(result.status, RouteStatus::ok);
  EXPECT_TRUE(result.bends.empty());
  EXPECT_DOUBLE_EQ(result.length_mm, 300.0);
}

TEST(Route, NoRadiusRoundsATurnBackOnItself) {
  EXPECT_EQ(measure_route(route({{0, 0, 0}, {100, 0, 0}, {50, 0, 0}}, 10)).status,
            RouteStatus::doubles_back);
}

TEST(Route, RefusesWhatIsNoRoute) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(measure_route(route({{0, 0, 0}}, 10)).status, RouteStatus::invalid);
  EXPECT_EQ(measure_route(route({{0, 0, 0}, {0, 0, 0}}, 10)).status, RouteStatus::invalid);
  EXPECT_EQ(measure_route(route({{0, 0, 0}, {nan, 0, 0}}, 10)).status, RouteStatus::invalid);
  EXPECT_EQ(measure_route(route({{0, 0, 0}, {9, 0, 0}}, nan)).status, RouteStatus::invalid);
}

}  // namespace
}  // namespace bight::line
