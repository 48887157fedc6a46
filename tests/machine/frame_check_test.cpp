#include "machine/frame_check.h"

#include <gtest/gtest.h>

#include <string>

#include "machine/frame_fixture.h"

namespace bight::machine {
namespace {

using fixture::all_text;
using fixture::boat_shed;

/// What the check of a plan's frame has to say.
std::string words(const plan::Plan& plan) {
  Diagnostics diagnostics;
  check_frame(plan, frame_parts(*plan.frame), diagnostics);
  return all_text(diagnostics);
}

TEST(FrameCheck, AWrongSenseOfTheTableIsSaid) {
  auto plan = boat_shed();
  plan.frame->moving_table = true;
  EXPECT_NE(words(plan).find("carries = \"tool\"; allowed: carries = \"work\""), std::string::npos)
      << words(plan);
}

TEST(FrameCheck, AMissingJointIsSaid) {
  auto plan = boat_shed();
  plan.joints.pop_back();
  EXPECT_NE(words(plan).find("joint Z, which the plan lacks"), std::string::npos);
}

TEST(FrameCheck, ATurnedJointDoesNotSuitAFrame) {
  auto plan = boat_shed();
  plan.joints[0].direction = {-1, 0, 0};
  EXPECT_NE(words(plan).find("direction [-1, 0, 0]"), std::string::npos);
}

TEST(FrameCheck, AHeadWiderThanTheBeamIsLongIsSaidWithNumbers) {
  auto plan = boat_shed();
  plan.frame->head_size.x = 1400;
  const std::string text = words(plan);
  EXPECT_NE(text.find("the head plate is wider than the beam is long"), std::string::npos) << text;
  EXPECT_NE(text.find("1400.0 mm"), std::string::npos);
  EXPECT_NE(text.find("1360.0 mm"), std::string::npos);
}

// The tip 400 mm too high: even at the deepest plunge the head plate begins at Z = 440,
// above the carriage's top at 355.
TEST(FrameCheck, AToolAboveTheBeamLeavesTheHeadOffItsCarriage) {
  auto plan = boat_shed();
  plan.frame->tip.z = 530;
  const std::string text = words(plan);
  EXPECT_NE(text.find("the head plate has left the carriage plate"), std::string::npos) << text;
  EXPECT_NE(text.find("head plate 440.0 mm to 700.0 mm, carriage plate 155.0 mm to 355.0 mm"),
            std::string::npos)
      << text;
}

TEST(FrameCheck, ATipBelowTheBedIsAnOverlap) {
  auto plan = boat_shed();
  plan.frame->tip.z = -15;
  plan.frame->clear_height = 35;
  const std::string text = words(plan);
  EXPECT_NE(
      text.find("the dimensions put the bed into the tool at X = 0.0 mm, Y = 0.0 mm, Z = 0.0 mm"),
      std::string::npos)
      << text;
}

TEST(FrameCheck, ZeroOutsideTheTravelIsNoPoseToJudge) {
  auto plan = boat_shed();
  // The same machine with Z counted from the bed: at Z = 0 the tip would be inside the bed, but Z
  // never goes there.
  plan.frame->tip.z = -5;
  plan.frame->clear_height = 45;
  plan.joints[2].travel = {10, 130};
  EXPECT_EQ(words(plan), "");
}

TEST(FrameCheck, ABedThroughTheFloorIsSaid) {
  auto plan = boat_shed();
  plan.frame->bed_height = 50;
  EXPECT_NE(words(plan).find("the bed reaches through the floor"), std::string::npos);
}

TEST(FrameCheck, APlanInInchesIsAnsweredInInches) {
  auto plan = boat_shed();
  plan.inches = true;
  plan.frame->head_size.x = 1524;  // 60 in
  EXPECT_NE(words(plan).find("found 60.000 in"), std::string::npos) << words(plan);
}

TEST(FrameCheck, ThingsThatThePlanReplacesAreNotJudged) {
  auto plan = boat_shed();
  plan.frame->head_size.x = 1400;
  plan::Part head;
  head.name = "head plate";
  head.body = "head";
  head.size = {90, 15, 200};
  plan.parts = {head};
  EXPECT_EQ(words(plan), "");
}

}  // namespace
}  // namespace bight::machine
