#include "machine/motion.h"

#include <gtest/gtest.h>

namespace bight::machine {
namespace {

plan::Joint joint(const std::string& name, const Vec3& direction, bool moves_work = false) {
  plan::Joint j;
  j.name = name;
  j.direction = direction;
  j.moves_work = moves_work;
  return j;
}

plan::Body body(const std::string& name, const std::string& carried_by, const std::string& joint,
                double ratio = 1.0) {
  plan::Body b;
  b.name = name;
  b.carried_by = carried_by;
  b.joint = joint;
  b.ratio = ratio;
  return b;
}

const std::vector<plan::Joint> k_xyz = {joint("X", {1, 0, 0}), joint("Y", {0, 1, 0}),
                                        joint("Z", {0, 0, 1})};

TEST(Motion, AHeadMovesWithEverythingThatCarriesIt) {
  // Listed in reverse, since a plan may name a carrier after what it carries.
  const auto bodies =
      bodies_in_motion(k_xyz, {body("head", "carriage", "Z"), body("carriage", "gantry", "X"),
                               body("gantry", "ground", "Y")});
  ASSERT_EQ(bodies.size(), 4U);
  EXPECT_EQ(bodies[0].name, "ground");
  EXPECT_EQ(bodies[1].name, "head");
  EXPECT_EQ(translation(bodies[1], {10, 20, 30}), Vec3(10, 20, 30));
  EXPECT_EQ(translation(bodies[2], {10, 20, 30}), Vec3(10, 20, 0));
  EXPECT_EQ(translation(bodies[3], {10, 20, 30}), Vec3(0, 20, 0));
  EXPECT_EQ(translation(bodies[0], {10, 20, 30}), Vec3(0, 0, 0));
}

// ISO 841:2001: the sense of an axis is that of the tool relative to the workpiece; a table runs
// the other way.
TEST(Motion, ATableRunsAgainstItsAxisSoThatTheToolMovesTheSameWayOverTheWork) {
  const auto moving_gantry =
      bodies_in_motion(k_xyz, {body("gantry", "ground", "Y"), body("carriage", "gantry", "X")});
  auto joints = k_xyz;
  joints[1].moves_work = true;
  const auto moving_table =
      bodies_in_motion(joints, {body("table", "ground", "Y"), body("carriage", "ground", "X")});
  EXPECT_EQ(translation(moving_table[1], {0, 50, 0}), Vec3(0, -50, 0));

  // Tool seen from the work: carriage against ground here, carriage against table there.
  const auto over_bed = relative_motion(moving_gantry[2], moving_gantry[0]);
  const auto over_table = relative_motion(moving_table[2], moving_table[1]);
  for (std::size_t j = 0; j < 3; ++j) EXPECT_EQ(over_bed[j], over_table[j]) << j;
}

TEST(Motion, TheMiddleLeafOfATelescopicCoverMovesHalfAsFar) {
  const auto bodies =
      bodies_in_motion(k_xyz, {body("gantry", "ground", "Y"), body("leaf", "ground", "Y", 0.5)});
  EXPECT_EQ(translation(bodies[2], {0, 300, 0}), Vec3(0, 150, 0));
  EXPECT_EQ(relative_motion(bodies[1], bodies[2])[1], Vec3(0, 0.5, 0));
}

TEST(Motion, TwoJointsOnOneChainAdd) {
  // A head that a second vertical axis W carries on Z.
  const auto joints = std::vector{joint("Z", {0, 0, 1}), joint("W", {0, 0, 1})};
  const auto bodies =
      bodies_in_motion(joints, {body("ram", "ground", "Z"), body("quill", "ram", "W")});
  EXPECT_EQ(translation(bodies[2], {-40, -15}), Vec3(0, 0, -55));
}

TEST(Motion, TurningTheRelationRoundTurnsTheMotionRound) {
  const auto bodies =
      bodies_in_motion(k_xyz, {body("gantry", "ground", "Y"), body("carriage", "gantry", "X")});
  const auto forth = relative_motion(bodies[1], bodies[2]);
  const auto back = relative_motion(bodies[2], bodies[1]);
  for (std::size_t j = 0; j < 3; ++j) EXPECT_EQ(forth[j], -back[j]);
  EXPECT_EQ(forth[0], Vec3(-1, 0, 0));
  EXPECT_EQ(forth[1], Vec3(0, 0, 0));
}

TEST(Motion, ABracketFixedToTheGantryMovesTogetherWithIt) {
  const auto bodies =
      bodies_in_motion(k_xyz, {body("gantry", "ground", "Y"), body("bracket", "gantry", "")});
  EXPECT_TRUE(moves_together(bodies[1], bodies[2]));
  EXPECT_FALSE(moves_together(bodies[0], bodies[2]));
}

TEST(MotionDeathTest, ALoopOfCarriersIsAProgrammingErrorSinceThePlanWasValidated) {
  EXPECT_DEATH(bodies_in_motion(k_xyz, {body("a", "b", ""), body("b", "a", "")}), "depth");
}

}  // namespace
}  // namespace bight::machine
