#include "machine/parametric.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "machine/by_name_detail.h"
#include "machine/frame_fixture.h"
#include "plan/frame_names.h"

namespace bight::machine {
namespace {

using fixture::all_text;
using fixture::boat_shed;

Vec3 upper(const plan::Part& part) {
  return part.at + part.size;
}

// By hand, from the tip backwards: router to Y = 40 + 32.5 = 72.5, head plate to 87.5, gap to
// 112.5, carriage plate to 132.5, gap to 157.5, beam to 237.5.
TEST(Parametric, ThePlateStackFollowsFromTheTip) {
  const FrameParts made = frame_parts(*boat_shed().frame);
  const auto& head = *find_named(made.parts, "head plate");
  const auto& carriage = *find_named(made.parts, "carriage plate");
  const auto& beam = *find_named(made.parts, "beam");
  EXPECT_EQ(head.at, Vec3(50, 72.5, 160));  // router from Z = 170 to 410, its middle at 290
  EXPECT_EQ(upper(head), Vec3(150, 87.5, 420));
  EXPECT_EQ(carriage.at, Vec3(20, 112.5, 155));  // beam from 180 to 330, its middle at 255
  EXPECT_EQ(upper(carriage), Vec3(180, 132.5, 355));
  EXPECT_EQ(beam.at, Vec3(-30, 157.5, 180));
  EXPECT_EQ(upper(beam), Vec3(1330, 237.5, 330));
}

TEST(Parametric, SidesStandBesideTheBedAroundTheMiddleOfTheBeam) {
  const FrameParts made = frame_parts(*boat_shed().frame);
  const auto& left = *find_named(made.parts, "side left");
  const auto& right = *find_named(made.parts, "side right");
  EXPECT_EQ(left.at, Vec3(-50, 97.5, -60));
  EXPECT_EQ(upper(left), Vec3(-30, 297.5, 330));
  EXPECT_EQ(right.at, Vec3(1330, 97.5, -60));
  EXPECT_EQ(upper(right), Vec3(1350, 297.5, 330));
  EXPECT_EQ(left.body, "gantry");
}

TEST(Parametric, RouterAndToolStandOnTheTip) {
  const FrameParts made = frame_parts(*boat_shed().frame);
  const auto& router = *find_named(made.parts, "router");
  const auto& tool = *find_named(made.parts, "tool");
  EXPECT_EQ(tool.at, Vec3(100, 40, 130));
  EXPECT_EQ(tool.length, 40.0);
  EXPECT_EQ(tool.role, plan::Role::tool);
  EXPECT_EQ(router.at, Vec3(100, 40, 170));
  EXPECT_EQ(router.diameter, 65.0);
  EXPECT_EQ(made.tool.body, "head");
  EXPECT_EQ(made.tool.tip, Vec3(100, 40, 130));
}

TEST(Parametric, TheFloorLiesWhereTheBedHeightSays) {
  auto plan = boat_shed();
  EXPECT_EQ(upper(*find_named(frame_parts(*plan.frame).parts, "floor")).z, -750.0);
  plan.frame->bed_height = 0;
  EXPECT_EQ(find_named(frame_parts(*plan.frame).parts, "floor"), nullptr);
}

TEST(Parametric, ASoundFrameHasNothingToSay) {
  Diagnostics diagnostics;
  const plan::Plan full = with_frame(boat_shed(), diagnostics);
  EXPECT_EQ(all_text(diagnostics), "");
  EXPECT_EQ(full.parts.size(), 9U);
  EXPECT_EQ(full.bodies.size(), 3U);
  EXPECT_EQ(full.touching.size(), 4U);
  for (const auto& touching : full.touching) {
    EXPECT_EQ(touching.why.substr(0, 12), "linear guide");
    EXPECT_NE(find_named(full.parts, touching.between[0]), nullptr);
    EXPECT_NE(find_named(full.parts, touching.between[1]), nullptr);
  }
}

TEST(Parametric, APlanWithoutFrameStaysAsItIs) {
  auto plan = boat_shed();
  plan.frame.reset();
  Diagnostics diagnostics;
  EXPECT_TRUE(with_frame(plan, diagnostics).parts.empty());
  EXPECT_TRUE(diagnostics.items().empty());
}

TEST(Parametric, WithAMovingTableTheBedRunsAndTheGantryStandsOnTheFloor) {
  auto plan = boat_shed();
  plan.frame->moving_table = true;
  plan.joints[1].moves_work = true;
  Diagnostics diagnostics;
  const plan::Plan full = with_frame(plan, diagnostics);
  EXPECT_EQ(all_text(diagnostics), "");
  EXPECT_EQ(find_named(full.parts, "bed")->body, "table");
  EXPECT_EQ(find_named(full.bodies, "table")->joint, "Y");
  EXPECT_EQ(find_named(full.bodies, "gantry")->joint, "");
  EXPECT_EQ(find_named(full.parts, "side left")->at.z, -750.0);
  EXPECT_EQ(full.touching.size(), 2U);  // X and Z; the sides must keep clear of the table
}

TEST(Parametric, APartOfThePlanReplacesTheGeneratedOneOfItsName) {
  auto plan = boat_shed();
  plan::Part beam;
  beam.name = "beam";
  beam.body = "gantry";
  beam.size = {1360, 60, 120};
  plan::Part motor;
  motor.name = "Z motor";
  motor.body = "head";
  motor.size = {57, 57, 80};
  plan.parts = {beam, motor};
  Diagnostics diagnostics;
  const plan::Plan full = with_frame(plan, diagnostics);
  EXPECT_EQ(all_text(diagnostics), "");
  EXPECT_EQ(full.parts.size(), 10U);
  EXPECT_EQ(find_named(full.parts, "beam")->size.y, 60.0);
  EXPECT_EQ(full.touching.size(), 4U);  // the guides hold for the replaced beam as well
}

TEST(Parametric, APartThatIsNotPresentTakesTheGeneratedOneAway) {
  auto plan = boat_shed();
  plan::Part floor;
  floor.name = "floor";
  floor.present = false;
  plan.parts = {floor};
  Diagnostics diagnostics;
  const plan::Plan full = with_frame(plan, diagnostics);
  EXPECT_EQ(all_text(diagnostics), "");
  EXPECT_FALSE(find_named(full.parts, "floor")->present);
  EXPECT_EQ(std::count_if(full.parts.begin(), full.parts.end(),
                          [](const plan::Part& p) { return p.name == "floor"; }),
            1);
}

TEST(Parametric, AReplacementOnAnotherBodyIsAWarning) {
  auto plan = boat_shed();
  plan::Part router;
  router.name = "router";  // its body was forgotten, so it stands on the ground
  plan.parts = {router};
  Diagnostics diagnostics;
  with_frame(plan, diagnostics);
  ASSERT_EQ(diagnostics.items().size(), 1U);
  EXPECT_EQ(diagnostics.items()[0].severity, Severity::warning);
  EXPECT_EQ(diagnostics.items()[0].found, "ground");
  EXPECT_EQ(diagnostics.items()[0].allowed, "head");
}

TEST(Parametric, APairThatThePlanDeclaresItselfKeepsItsReason) {
  auto plan = boat_shed();
  plan::Touching own;
  own.between = {"carriage plate", "beam"};
  own.why = "plain bearings";
  plan.touching = {own};
  Diagnostics diagnostics;
  const plan::Plan full = with_frame(plan, diagnostics);
  EXPECT_EQ(full.touching.size(), 4U);
  EXPECT_EQ(full.touching[0].why, "plain bearings");
}

TEST(Parametric, AToolOfThePlanIsKept) {
  auto plan = boat_shed();
  plan::Tool tool;
  tool.body = "head";
  tool.tip = {100, 40, 120};
  plan.tool = tool;
  Diagnostics diagnostics;
  EXPECT_EQ(with_frame(plan, diagnostics).tool->tip.z, 120.0);
}

TEST(Parametric, EveryPartOfTheFrameHasKeysThatPlaceIt) {
  for (const char* part : plan::k_frame_part_names) EXPECT_NE(frame_keys(part), "") << part;
  EXPECT_EQ(frame_keys("cabinet"), "");
}

}  // namespace
}  // namespace bight::machine
