#include "chain/loop.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>

namespace bight::chain {
namespace {

using std::numbers::pi;

LoopProblem loop(double travel, double radius, double fixed, double pitch) {
  return {.fixed_mm = fixed,
          .moving_mm = {-0.5 * travel, 0.5 * travel},
          .bend_radius_mm = radius,
          .pitch_mm = pitch,
          .links = {},
          .room_mm = {}};
}

/// Half of the last of five printed decimals.
constexpr double k_printed = 5.01e-6;

struct LoopCase {
  const char* name;
  LoopProblem problem;
  double shortest;
  int links;
  double bend_low, bend_middle, bend_high, front_high, upper_low, lower_high;
};

TEST(Loop, WorkedExamplesOfTheRollingLoop) {
  // Geometry of two runs and a half circle, worked out by hand to five decimals.
  const std::vector<LoopCase> cases{
      {"fixed end at mid-travel", loop(800, 60, 0, 20), 588.49556, 30, 5.75222, 205.75222,
       405.75222, 465.75222, 405.75222, 405.75222},
      {"fixed end off the middle", loop(1200, 75, 150, 25), 985.61945, 40, 157.19028, 457.19028,
       757.19028, 832.19028, 757.19028, 607.19028},
      {"fixed end at the end", loop(500, 38, -250, 15), 619.38052, 42, 5.30974, 130.30974,
       255.30974, 293.30974, 255.30974, 505.30974}};
  for (const LoopCase& c : cases) {
    SCOPED_TRACE(c.name);
    const LoopResult result = size_loop(c.problem);
    ASSERT_EQ(result.status, LoopStatus::ok) << result.problem;
    EXPECT_NEAR(result.shortest_mm, c.shortest, k_printed);
    EXPECT_EQ(result.links, c.links);
    EXPECT_DOUBLE_EQ(result.length_mm, c.links * c.problem.pitch_mm);
    EXPECT_NEAR(result.at_low.bend_mm, c.bend_low, k_printed);
    EXPECT_NEAR(loop_at(c.problem, result.length_mm, 0.0).bend_mm, c.bend_middle, k_printed);
    EXPECT_NEAR(result.at_high.bend_mm, c.bend_high, k_printed);
    EXPECT_NEAR(result.at_high.front_mm, c.front_high, k_printed);
    EXPECT_NEAR(result.at_low.moving_run_mm, c.upper_low, k_printed);
    EXPECT_NEAR(result.longest_straight_mm, c.upper_low, k_printed);
    EXPECT_NEAR(result.at_high.fixed_run_mm, c.lower_high, k_printed);
  }
}

TEST(Loop, TheBendMovesHalfAsFarAsTheBracket) {
  const LoopProblem problem = loop(800, 60, 0, 20);
  const double step = loop_at(problem, 600, 130).bend_mm - loop_at(problem, 600, 30).bend_mm;
  EXPECT_NEAR(step, 50.0, 1e-12);
}

TEST(Loop, ThePartsAlwaysAddUpToTheLength) {
  const LoopProblem problem = loop(1200, 75, 150, 25);
  for (double x = -600; x <= 600; x += 37.5) {
    const LoopPose pose = loop_at(problem, 1000, x);
    EXPECT_NEAR(pose.fixed_run_mm + pose.moving_run_mm + pi * 75, 1000, 1e-9);
    EXPECT_GE(pose.fixed_run_mm, 0.0);
    EXPECT_GE(pose.moving_run_mm, 0.0);
  }
}

TEST(Loop, PointsOfThePitchLineAreSpacedByArcLength) {
  const LoopProblem problem = loop(800, 60, 0, 20);
  const double step = 0.25;
  for (double x : {-400.0, 13.0, 400.0}) {
    for (double s = 0.0; s + step <= 600.0; s += step) {
      const Vec2 a = point_on_loop(problem, 600, x, s);
      const Vec2 b = point_on_loop(problem, 600, x, s + step);
      // A chord over 0.25 mm of arc is short of it by s^3 / (24 R^2) = 2e-7 mm.
      ASSERT_NEAR(glm::length(b - a), step, 3e-7);
    }
    const Vec2 end = point_on_loop(problem, 600, x, 600);
    EXPECT_NEAR(end.x, x, 1e-9);
    EXPECT_NEAR(end.y, 120.0, 1e-9);
  }
}

TEST(Loop, EndStraightsAreKeptAtBothBracketsOverTheTravel) {
  LoopProblem problem = loop(800, 60, 0, 20);
  problem.end_straight_mm = 40;
  const LoopResult result = size_loop(problem);
  EXPECT_NEAR(result.shortest_mm, 400 + pi * 60 + 80, 1e-9);
  EXPECT_GE(result.at_low.fixed_run_mm, 40);
  EXPECT_GE(result.at_high.moving_run_mm, 40);
  // One link fewer does not keep them.
  EXPECT_LT(loop_at(problem, result.length_mm - 20, 400).moving_run_mm, 40);
}

TEST(Loop, RoomAndHeightAreThoseOfTheOutsideOfTheLinks) {
  LoopProblem problem = loop(800, 60, 0, 20);
  problem.outer_height_mm = 24;
  const LoopResult result = size_loop(problem);
  EXPECT_NEAR(result.loop_room_pitch_mm, 65.75222, k_printed);
  EXPECT_NEAR(result.loop_room_mm, 77.75222, k_printed);
  EXPECT_NEAR(result.room_beyond_fixed_mm, 477.75222, k_printed);
  EXPECT_DOUBLE_EQ(result.height_mm, 144.0);
  // No point of the drawn pitch line is farther out than the front.
  double farthest = 0.0;
  for (double s = 0; s <= 600; s += 0.01) {
    farthest = std::max(farthest, point_on_loop(problem, 600, 400, s).x);
  }
  EXPECT_NEAR(farthest + 12, result.at_high.front_outside_mm, 1e-5);
}

TEST(Loop, TooFewLinksAreRefusedWithWhatIsMissing) {
  LoopProblem problem = loop(800, 60, 0, 20);
  problem.links = 29;
  const LoopResult result = size_loop(problem);
  EXPECT_EQ(result.status, LoopStatus::too_short);
  EXPECT_NEAR(result.spare_mm, 580 - 588.49556, k_printed);
  EXPECT_EQ(result.problem, "29 links are 8.5 mm too short; 30 do");
}

TEST(Loop, MoreLinksThanNeededPushTheBendOut) {
  LoopProblem problem = loop(800, 60, 0, 20);
  problem.links = 34;
  const LoopResult result = size_loop(problem);
  EXPECT_EQ(result.status, LoopStatus::ok);
  EXPECT_EQ(result.fewest_links, 30);
  EXPECT_NEAR(result.spare_mm, 680 - 588.49556, k_printed);
  // Four links of 20 mm: half of 80 mm goes to each side of the bend.
  EXPECT_NEAR(result.loop_room_pitch_mm, 65.75222 + 40, k_printed);
}

TEST(Loop, GivenRoomLimitsTheLinks) {
  LoopProblem problem = loop(800, 60, 0, 20);
  problem.outer_height_mm = 24;
  problem.links = 34;
  problem.room_mm = 100;
  const LoopResult crowded = size_loop(problem);
  EXPECT_EQ(crowded.status, LoopStatus::no_room);
  // 77.75222 + 10 per link beyond 30: 32 links need 97.75, 33 need 107.75.
  EXPECT_EQ(crowded.most_links, 32);
  problem.links = 32;
  EXPECT_EQ(size_loop(problem).status, LoopStatus::ok);
  problem.links = 33;
  EXPECT_EQ(size_loop(problem).status, LoopStatus::no_room);
}

TEST(Loop, RoomCountsFromTheFarthestBracketWhicheverItIs) {
  // Fixed end 100 mm beyond the travel: at x_M = 400 the pitch line's front is at
  // (L - pi R + 500 + 400)/2 + R, room is counted from 500.
  LoopProblem problem = loop(800, 60, 500, 20);
  problem.outer_height_mm = 24;
  const LoopResult result = size_loop(problem);
  const double front = (result.length_mm - pi * 60 + 900) / 2 + 60 + 12;
  EXPECT_NEAR(result.loop_room_mm, front - 500, 1e-9);
  EXPECT_NEAR(result.room_beyond_fixed_mm, front - 500, 1e-9);
  problem.room_mm = result.loop_room_mm;
  EXPECT_EQ(size_loop(problem).status, LoopStatus::ok);
  EXPECT_EQ(size_loop(problem).most_links, result.links);
}

TEST(Loop, AnExactNumberOfLinksIsNotRoundedUp) {
  LoopProblem problem = loop(800, 60, 0, 20);
  problem.moving_mm = {0.0, 600.0 - pi * 60};  // shortest = 600 up to rounding
  EXPECT_EQ(size_loop(problem).fewest_links, 30);
}

TEST(Loop, MovedScaledOrMirroredItKeepsItsLinks) {
  const LoopResult here = size_loop(loop(1200, 75, 150, 25));
  LoopProblem there = loop(1200, 75, 150, 25);
  there.fixed_mm += 5000;
  there.moving_mm[0] += 5000;
  there.moving_mm[1] += 5000;
  const LoopResult moved = size_loop(there);
  EXPECT_EQ(moved.links, here.links);
  EXPECT_NEAR(moved.loop_room_mm, here.loop_room_mm, 1e-9);
  const LoopResult scaled = size_loop(loop(12000, 750, 1500, 250));
  EXPECT_EQ(scaled.links, here.links);
  EXPECT_NEAR(scaled.loop_room_mm, 10 * here.loop_room_mm, 1e-9);
  // Fixed end off to the other side: the same length, but the bend lies elsewhere.
  EXPECT_EQ(size_loop(loop(1200, 75, -150, 25)).links, here.links);
}

TEST(Loop, RefusesNumbersThatMakeNoSense) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (const LoopProblem& bad :
       {loop(-800, 60, 0, 20), loop(800, 0, 0, 20), loop(800, 60, nan, 20), loop(800, 60, 0, 0),
        loop(800, 60, 0, nan), loop(1e300, 60, 0, 20)}) {
    EXPECT_EQ(size_loop(bad).status, LoopStatus::invalid);
  }
  LoopProblem none = loop(800, 60, 0, 20);
  none.links = 0;
  EXPECT_EQ(size_loop(none).status, LoopStatus::invalid);
}

struct PolygonCase {
  double pitch;
  int joints;
  double joints_radius, middles_radius, run_distance, turn_length, bulge;
};

class LinkPolygonTest : public testing::TestWithParam<PolygonCase> {};

TEST_P(LinkPolygonTest, FiguresOfTheRegularPolygon) {
  const PolygonCase& c = GetParam();
  const LinkPolygon polygon = link_polygon(c.pitch, c.joints);
  EXPECT_NEAR(polygon.joints_radius_mm, c.joints_radius, 5.01e-7);
  EXPECT_NEAR(polygon.middles_radius_mm, c.middles_radius, 5.01e-7);
  EXPECT_NEAR(polygon.run_distance_mm, c.run_distance, 5.01e-7);
  EXPECT_DOUBLE_EQ(polygon.turn_length_mm, c.turn_length);
  EXPECT_NEAR(polygon.bulge_mm, c.bulge, 5.01e-7);
}

TEST_P(LinkPolygonTest, WalkingTheLinksGivesTheSame) {
  // Links turn by 180/n deg at each of n joints, from straight along x to straight back.
  const PolygonCase& c = GetParam();
  Vec2 at(0.0);
  double farthest = 0.0;
  for (int k = 1; k < c.joints; ++k) {
    const double heading = k * pi / c.joints;
    at += c.pitch * Vec2(std::cos(heading), std::sin(heading));
    farthest = std::max(farthest, at.x);
  }
  const LinkPolygon polygon = link_polygon(c.pitch, c.joints);
  EXPECT_NEAR(farthest, polygon.bulge_mm, 1e-9);
  EXPECT_NEAR(at.y, polygon.run_distance_mm, 1e-9);
}

INSTANTIATE_TEST_SUITE_P(
    Loop, LinkPolygonTest,
    testing::Values(PolygonCase{20, 12, 76.612976, 75.957541, 151.915082, 240, 65.957541},
                    PolygonCase{20, 6, 38.637033, 37.320508, 74.641016, 120, 27.320508},
                    PolygonCase{30, 8, 76.887463, 75.410092, 150.820185, 240, 60.410092},
                    PolygonCase{25, 10, 79.905665, 78.921894, 157.843788, 250, 66.421894}));

LoopProblem raised_example() {
  return {.fixed_mm = 260,
          .moving_mm = {0, 0},
          .bend_radius_mm = 60,
          .pitch_mm = 20,
          .links = {},
          .room_mm = {}};
}

TEST(RaisedLoop, WorkedExample) {
  // Moving end 140 mm high, R = 60, x_M = 0, x_F = 260, L = 700 mm; solved by hand to the digits.
  const RaisedLoop raised = raised_loop(raised_example(), 700, 0, 140);
  ASSERT_TRUE(raised.possible);
  EXPECT_NEAR(raised.tilt * 180 / pi, 2.958063, 5.01e-7);
  EXPECT_NEAR(raised.moving_run_mm, 389.10844, k_printed);
  EXPECT_NEAR(raised.arc_mm, 185.39788, k_printed);
  EXPECT_NEAR(raised.fixed_run_mm, 125.49368, k_printed);
  EXPECT_NEAR(raised.front_mm, 445.49368, k_printed);
}

TEST(RaisedLoop, ThePiecesJoinUp) {
  for (double height : {121.0, 140.0, 200.0, 300.0}) {
    const RaisedLoop r = raised_loop(raised_example(), 900, 0, height);
    ASSERT_TRUE(r.possible);
    EXPECT_NEAR(r.moving_run_mm + r.arc_mm + r.fixed_run_mm, 900, 1e-6);
    // From the bracket down the run, along the arc to its lowest point, all in y.
    const double drop = r.moving_run_mm * std::sin(r.tilt) + 60 * (1 + std::cos(r.tilt));
    EXPECT_NEAR(drop, height, 1e-6);
    // The lowest point of the arc is where the fixed run ends.
    const double x = r.moving_run_mm * std::cos(r.tilt) - 60 * std::sin(r.tilt);
    EXPECT_NEAR(x, 260 + r.fixed_run_mm, 1e-6);
  }
}

TEST(RaisedLoop, AtExactlyTwoRadiiItIsTheLevelLoop) {
  const RaisedLoop r = raised_loop(raised_example(), 700, 0, 120);
  ASSERT_TRUE(r.possible);
  EXPECT_EQ(r.tilt, 0.0);
  EXPECT_NEAR(r.front_mm, loop_at(raised_example(), 700, 0).front_mm, 1e-12);
  EXPECT_NEAR(raised_loop(raised_example(), 700, 0, 120.001).front_mm, r.front_mm, 0.01);
}

TEST(RaisedLoop, LowerThanTwoRadiiIsImpossible) {
  // A curve that turns by 180 deg one way with curvature <= 1/R is at least 2 R high.
  EXPECT_FALSE(raised_loop(raised_example(), 700, 0, 119).possible);
  EXPECT_FALSE(raised_loop(raised_example(), 700, 0, std::nan("")).possible);
}

TEST(RaisedLoop, AChainThatDoesNotReachIsRefused) {
  EXPECT_FALSE(raised_loop(raised_example(), 440, 0, 140).possible);
}

}  // namespace
}  // namespace bight::chain
