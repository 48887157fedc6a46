#include "picture/pose_shapes.h"

#include <gtest/gtest.h>

#include <cmath>

#include "picture/pose_shapes_fixture.h"

namespace bight::picture {
namespace {

double length_of(const std::vector<Vec3>& points) {
  double sum = 0.0;
  for (std::size_t i = 1; i < points.size(); ++i) sum += glm::length(points[i] - points[i - 1]);
  return sum;
}

const LegShape& leg_of(const PoseShape& shape, const std::string& line, plan::LegWay way) {
  for (const LegShape& leg : shape.legs) {
    if (leg.line == line && leg.way == way) return leg;
  }
  ADD_FAILURE() << line << " has no such leg";
  static const LegShape none;
  return none;
}

TEST(PoseShapes, AFreeLineEndsAtItsAnchorsAndKeepsItsLength) {
  const Demo demo("plan.toml", "hung from the rafter");
  PoseShapes shapes(demo.plan, demo.machine);
  for (const double x : {0.0, 600.0, 1200.0}) {
    const PoseShape shape = shapes.at({x, 400.0, -60.0});
    const LegShape& cord = leg_of(shape, "router cord", plan::LegWay::free);
    ASSERT_TRUE(cord.solved);
    // Hook at (760, 470, 1570); mast top at (50, 18, 915) plus the pose.
    EXPECT_LT(glm::length(cord.points.front() - Vec3(760.0, 470.0, 1570.0)), 1e-6);
    EXPECT_LT(glm::length(cord.points.back() - Vec3(50.0 + x, 418.0, 855.0)), 1e-3);
    EXPECT_NEAR(length_of(cord.points), 1150.0, 0.01);  // the length that the plan gives
    EXPECT_EQ(cord.use.size(), cord.points.size());
  }
}

TEST(PoseShapes, TheLinksOfAChainAreOnePitchLongAndEndAtTheBrackets) {
  const Demo demo("plan.toml", "in the chains");
  PoseShapes shapes(demo.plan, demo.machine);
  const PoseShape shape = shapes.at({300.0, 200.0, 0.0});
  ASSERT_EQ(shape.chains.size(), 2U);
  for (const ChainPoseShape& chain : shape.chains) {
    ASSERT_FALSE(chain.links.empty()) << chain.remark;
    for (const LinkPlace& link : chain.links) {
      // The pitch of both chains is 30; a chord of the bend R 100 is shorter by 30^3 / (24 R^2).
      EXPECT_NEAR(glm::length(link.to - link.from), 30.0, 0.15);
      EXPECT_NEAR(glm::dot(link.inside, link.to - link.from), 0.0, 1e-9);
    }
    for (std::size_t i = 1; i < chain.links.size(); ++i) {
      EXPECT_EQ(chain.links[i].from, chain.links[i - 1].to);
    }
  }
  const ChainPoseShape& y_chain = shape.chains[0];
  ASSERT_EQ(y_chain.chain, "Y chain");
  EXPECT_LT(glm::length(y_chain.links.front().from - Vec3(1425.0, 587.5, -60.0)), 1e-6);
  EXPECT_LT(glm::length(y_chain.links.back().to - Vec3(1425.0, 387.5, 140.0)), 0.5);
}

TEST(PoseShapes, LinesInAChainStayInsideItsSection) {
  const Demo demo("plan.toml", "in the chains");
  PoseShapes shapes(demo.plan, demo.machine);
  const PoseShape shape = shapes.at({300.0, 200.0, 0.0});
  std::size_t found = 0;
  for (const LegShape& leg : shape.legs) {
    if (leg.way != plan::LegWay::chain) continue;
    ++found;
    const auto& run = *std::find_if(demo.plan.runs.begin(), demo.plan.runs.end(),
                                    [&](const plan::Run& r) { return r.name == leg.run; });
    if (run.legs[leg.leg - 1].chain != "Y chain") continue;
    // The Y chain is 92 x 15 inside and runs along Y about X = 1425.
    for (const Vec3& p : leg.points) EXPECT_LT(std::abs(p.x - 1425.0) + leg.radius_mm, 46.0);
  }
  EXPECT_GT(found, 5U);
}

TEST(PoseShapes, ABendAtItsLimitUsesAllOfItAndAStraightNothing) {
  const Demo demo("plan.toml", "in the chains");
  PoseShapes shapes(demo.plan, demo.machine);
  const PoseShape shape = shapes.at({0.0, 0.0, 0.0});
  // Air hose: 30 mm fixed, 8 mm thick, so 34 at the centre line; clipped with R 50.
  const LegShape& clipped = leg_of(shape, "air hose", plan::LegWay::fixed);
  const double most = *std::max_element(clipped.use.begin(), clipped.use.end());
  EXPECT_NEAR(most, 34.0 / 50.0, 0.01);
  EXPECT_EQ(clipped.use.front(), 0.0);
  // In the chain: 40 mm moving, so 44 at the centre line, on the pitch line's R 100 or near it.
  const LegShape& moving = leg_of(shape, "air hose", plan::LegWay::chain);
  EXPECT_NEAR(*std::max_element(moving.use.begin(), moving.use.end()), 0.44, 0.05);
}

TEST(PoseShapes, FollowingADragComesToTheSameShapesAsASinglePose) {
  const Demo demo("plan.toml", "hung from the rafter");
  PoseShapes followed(demo.plan, demo.machine);
  PoseShapes direct(demo.plan, demo.machine);
  followed.at({0.0, 0.0, 0.0});
  PoseShape last;
  for (int i = 1; i <= 20; ++i) last = followed.next({30.0 * i, 10.0 * i, -3.0 * i});
  const PoseShape single = direct.at({600.0, 200.0, -60.0});
  ASSERT_EQ(last.legs.size(), single.legs.size());
  for (std::size_t i = 0; i < last.legs.size(); ++i) {
    for (std::size_t k = 0; k < last.legs[i].points.size(); ++k) {
      EXPECT_LT(glm::length(last.legs[i].points[k] - single.legs[i].points[k]), 0.01)
          << last.legs[i].line;
    }
  }
}

}  // namespace
}  // namespace bight::picture
