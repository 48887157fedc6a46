#include "machine/parametric.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "machine/by_name_detail.h"

namespace bight::machine {
namespace {

plan::Joint joint(const std::string& name, const Vec3& direction, double low, double high) {
  plan::Joint j;
  j.name = name;
  j.direction = direction;
  j.travel = {low, high};
  return j;
}

/// Bed 1300 x 900, gantry 250 mm above it; at joint zero the tip is at the front left, 130 mm above
/// the bed.
plan::Plan boat_shed() {
  plan::Plan plan;
  plan.joints = {joint("X", {1, 0, 0}, 0, 1100), joint("Y", {0, 1, 0}, 0, 750),
                 joint("Z", {0, 0, 1}, -120, 0)};
  plan::Frame f;
  f.bed_size = {1300, 900};
  f.bed_thickness = 60;
  f.bed_height = 750;
  f.side_thickness = 20;
  f.side_depth = 200;
  f.side_gap = 30;
  f.clear_height = 180;
  f.beam_height = 150;
  f.beam_depth = 80;
  f.carriage_size = {160, 20, 200};
  f.head_size = {100, 15, 260};
  f.running_gap = 25;
  f.router_diameter = 65;
  f.router_length = 240;
  f.tool_diameter = 6;
  f.tool_length = 40;
  f.tip = {100, 40, 130};
  plan.frame = f;
  return plan;
}

Vec3 upper(const plan::Part& part) {
  return part.at + part.size;
}

std::string all_text(const Diagnostics& diagnostics) {
  std::string text;
  for (const Diagnostic& d : diagnostics.items()) text += to_text(d) + '\n';
  return text;
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

TEST(Parametric, AWrongSenseOfTheTableIsSaid) {
  auto plan = boat_shed();
  plan.frame->moving_table = true;
  Diagnostics diagnostics;
  with_frame(plan, diagnostics);
  EXPECT_TRUE(diagnostics.has_errors());
  EXPECT_NE(all_text(diagnostics).find("carries = \"tool\"; allowed: carries = \"work\""),
            std::string::npos)
      << all_text(diagnostics);
}

TEST(Parametric, AMissingJointIsSaid) {
  auto plan = boat_shed();
  plan.joints.pop_back();
  Diagnostics diagnostics;
  with_frame(plan, diagnostics);
  EXPECT_NE(all_text(diagnostics).find("joint Z, which the plan lacks"), std::string::npos);
}

TEST(Parametric, ATurnedJointDoesNotSuitAFrame) {
  auto plan = boat_shed();
  plan.joints[0].direction = {-1, 0, 0};
  Diagnostics diagnostics;
  with_frame(plan, diagnostics);
  EXPECT_NE(all_text(diagnostics).find("direction [-1, 0, 0]"), std::string::npos);
}

TEST(Parametric, AHeadWiderThanTheBeamIsLongIsSaidWithNumbers) {
  auto plan = boat_shed();
  plan.frame->head_size.x = 1400;
  Diagnostics diagnostics;
  with_frame(plan, diagnostics);
  const std::string text = all_text(diagnostics);
  EXPECT_NE(text.find("the head plate is wider than the beam is long"), std::string::npos) << text;
  EXPECT_NE(text.find("1400.0 mm"), std::string::npos);
  EXPECT_NE(text.find("1360.0 mm"), std::string::npos);
}

// The tip 400 mm too high: the head plate then begins at Z = 560, above the carriage's top at 355.
TEST(Parametric, AToolAboveTheBeamLeavesTheHeadOffItsCarriage) {
  auto plan = boat_shed();
  plan.frame->tip.z = 530;
  Diagnostics diagnostics;
  with_frame(plan, diagnostics);
  const std::string text = all_text(diagnostics);
  EXPECT_NE(text.find("the head plate has left the carriage plate"), std::string::npos) << text;
  EXPECT_NE(text.find("head plate 440.0 to 700.0, carriage plate 155.0 to 355.0"),
            std::string::npos)
      << text;
}

TEST(Parametric, ATipBelowTheBedIsAnOverlap) {
  auto plan = boat_shed();
  plan.frame->tip.z = -15;
  plan.frame->clear_height = 35;
  Diagnostics diagnostics;
  with_frame(plan, diagnostics);
  const std::string text = all_text(diagnostics);
  EXPECT_NE(text.find("the dimensions put the bed into the tool at X = 0.0, Y = 0.0, Z = 0.0"),
            std::string::npos)
      << text;
}

TEST(Parametric, ZeroOutsideTheTravelIsNoPoseToJudge) {
  auto plan = boat_shed();
  // The same machine with Z counted from the bed: at Z = 0 the tip would be inside the bed, but Z
  // never goes there.
  plan.frame->tip.z = -5;
  plan.frame->clear_height = 45;
  plan.joints[2].travel = {10, 130};
  Diagnostics diagnostics;
  with_frame(plan, diagnostics);
  EXPECT_EQ(all_text(diagnostics), "");
}

TEST(Parametric, ABedThroughTheFloorIsSaid) {
  auto plan = boat_shed();
  plan.frame->bed_height = 50;
  Diagnostics diagnostics;
  with_frame(plan, diagnostics);
  EXPECT_NE(all_text(diagnostics).find("the bed reaches through the floor"), std::string::npos);
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

}  // namespace
}  // namespace bight::machine
