#include "chain/chain_frame.h"

#include <gtest/gtest.h>

#include <iterator>
#include <limits>
#include <random>

#include "chain/rolling_chain.h"

namespace bight::chain {
namespace {

using test::k_lies;
using test::make_rig;
using test::Rig;

TEST(ChainFrame, FindsTheJointAndHowTheLoopLies) {
  for (const test::Lie& lie : k_lies) {
    SCOPED_TRACE(lie.name);
    const Rig rig = make_rig(lie);
    const ChainFrame frame = chain_frame(rig.chain, rig.machine);
    ASSERT_EQ(frame.status, ChainStatus::ok) << frame.problem;
    EXPECT_EQ(frame.joint, 1U);
    EXPECT_NEAR(frame.rate, 1.0, 1e-12);
    EXPECT_NEAR(frame.offset_mm, -37.0, 1e-9);
    EXPECT_NEAR(frame.height_mm, 120.0, 1e-9);
    EXPECT_NEAR(glm::length(frame.normal - lie.normal), 0.0, 1e-12);
    EXPECT_NEAR(glm::length(frame.across - glm::cross(lie.along, lie.normal)), 0.0, 1e-12);
    EXPECT_NEAR(frame.loop.moving_mm[0], -387.0, 1e-9);
    EXPECT_NEAR(frame.loop.moving_mm[1], 413.0, 1e-9);
    // 413 + pi 60 = 601.5 mm: 31 links.
    EXPECT_EQ(frame.size.links, 31);
  }
}

TEST(ChainFrame, AJointThatRunsTheOtherWayTurnsTheTravelRound) {
  const Rig rig = make_rig(k_lies[0], -1.0);
  const ChainFrame frame = chain_frame(rig.chain, rig.machine);
  ASSERT_EQ(frame.status, ChainStatus::ok);
  EXPECT_NEAR(frame.rate, -1.0, 1e-12);
  EXPECT_NEAR(frame.loop.moving_mm[0], -37.0 - 450.0, 1e-9);
  EXPECT_NEAR(frame.loop.moving_mm[1], -37.0 + 350.0, 1e-9);
}

TEST(ChainFrame, AnEndOfTheTravelComesOutExactFromThePlaceOfTheBracket) {
  std::mt19937 random(11);
  std::uniform_real_distribution<double> some(1.0, 900.0);
  for (int i = 0; i < 200; ++i) {
    Rig rig =
        make_rig(k_lies[static_cast<std::size_t>(i) % std::size(k_lies)], i % 2 == 0 ? 1.0 : -1.0);
    auto& travel = rig.machine.joints[1].travel;
    travel[0] = -some(random);
    travel[1] = some(random);
    const ChainFrame frame = chain_frame(rig.chain, rig.machine);
    const auto [low, high] = frame.loop.moving_mm;
    EXPECT_EQ(joint_interval(frame, low, high), travel);
    EXPECT_NEAR(joint_value(frame, 0.5 * (low + high)), 0.5 * (travel[0] + travel[1]), 1e-9);
  }
}

TEST(ChainFrame, BodiesThatDifferByNoJointOrTwoAreRefused) {
  Rig rig = make_rig(k_lies[0]);
  rig.chain.moving_body = "gantry";
  EXPECT_EQ(chain_frame(rig.chain, rig.machine).status, ChainStatus::not_one_joint);
  rig.chain.moving_body = "carriage";
  rig.chain.fixed_body = "ground";
  EXPECT_EQ(chain_frame(rig.chain, rig.machine).status, ChainStatus::not_one_joint);
}

TEST(ChainFrame, OpeningAcrossTheJointIsRefused) {
  Rig rig = make_rig(k_lies[0]);
  rig.chain.opens = Vec3(0, 1, 0);
  EXPECT_EQ(chain_frame(rig.chain, rig.machine).status, ChainStatus::opens_astray);
}

TEST(ChainFrame, RunsNearerThanTwoRadiiAreImpossibleAndFartherOnesTilt) {
  Rig rig = make_rig(k_lies[0]);
  rig.chain.moving_at.z -= 10;
  const ChainFrame low = chain_frame(rig.chain, rig.machine);
  EXPECT_EQ(low.status, ChainStatus::bracket_too_low);
  EXPECT_NE(low.problem.find("10.0 mm too near"), std::string::npos) << low.problem;
  rig.chain.moving_at.z += 25;
  const ChainFrame high = chain_frame(rig.chain, rig.machine);
  EXPECT_EQ(high.status, ChainStatus::bracket_too_high);
  EXPECT_NE(high.problem.find("15.0 mm too far"), std::string::npos) << high.problem;
}

TEST(ChainFrame, TheDistanceOfLinksOnAPolygonCountsAsTwoRadii) {
  // 12 joints of 15 deg, pitch 20: pins on 76.613 mm, runs 151.915 mm apart, 1.3 mm less than 2 R.
  const LinkPolygon polygon = link_polygon(20, 12);
  Rig rig = make_rig(k_lies[0]);
  rig.chain.bend_radius = polygon.joints_radius_mm;
  rig.chain.moving_at = rig.chain.fixed_at + Vec3(0, 0, polygon.run_distance_mm);
  EXPECT_EQ(chain_frame(rig.chain, rig.machine).status, ChainStatus::ok);
}

TEST(ChainFrame, TooFewLinksAreRefusedWithWhatIsMissing) {
  Rig rig = make_rig(k_lies[0]);
  rig.chain.links = 30;
  const ChainFrame frame = chain_frame(rig.chain, rig.machine);
  EXPECT_EQ(frame.status, ChainStatus::too_short);
  EXPECT_NE(frame.problem.find("31 do"), std::string::npos);
}

TEST(ChainFrame, RefusesNumbersThatMakeNoSense) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (int bad = 0; bad < 5; ++bad) {
    Rig rig = make_rig(k_lies[0]);
    if (bad == 0) rig.chain.pitch = 0;
    if (bad == 1) rig.chain.pitch = 130;  // longer than the bend is high
    if (bad == 2) rig.chain.outer_width = nan;
    if (bad == 3) rig.chain.fixed_at.x = nan;
    if (bad == 4) rig.chain.opens = Vec3(0.0);
    EXPECT_EQ(chain_frame(rig.chain, rig.machine).status, ChainStatus::invalid) << bad;
  }
}

}  // namespace
}  // namespace bight::chain
