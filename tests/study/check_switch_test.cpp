#include "study/check_switch.h"

#include <cmath>

#include "plan_fixture.h"

namespace bight::study {
namespace {

// A switch on the ground at the high end of X; its actuator rides on the carriage. X: travel to
// 1000, stop at 1010.
std::string with_switch(double switch_x, double actuator_length) {
  return small_machine() +
         "[[switch]]\nname = \"X high\"\njoint = \"X\"\nend = \"high\"\nbody = \"ground\"\nat = [" +
         std::to_string(switch_x) +
         ", 0, 300]\nradius = 2\nactuator_body = \"carriage\"\nactuator_at = [0, -10, "
         "290]\nactuator_size = [" +
         std::to_string(actuator_length) + ", 20, 20]\novertravel = 20\n";
}

TEST(CheckSwitch, ASwitchBetweenSoftLimitAndStopIsGood) {
  // The actuator's front is at X + 50, the roller's near side at 1054 - 2: it trips at X = 1002.
  const StudyResult result = study_text(with_switch(1054.0, 50.0));
  ASSERT_EQ(result.switches.size(), 1U);
  EXPECT_NEAR(result.switches[0].trip.value(), 1002.0, 1e-9);
  // 6000 mm/min = 100 mm/s, 1000 mm/s^2: v^2 / 2a = 5 mm (elementary kinematics); 8 mm are left.
  EXPECT_NEAR(result.switches[0].stopping_mm.value(), 5.0, 1e-9);
  EXPECT_EQ(result.verdict, Verdict::clear)
      << (result.findings.empty() ? "" : result.findings[0].what);
}

TEST(CheckSwitch, ASwitchInsideTheTravelStops) {
  const StudyResult result = study_text(with_switch(1040.0, 50.0));
  const Finding* finding = find(result, "switch");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::stop);
  EXPECT_NEAR(finding->value, 988.0, 1e-9);
  EXPECT_EQ(finding->limit, 1000.0);
}

TEST(CheckSwitch, TooLittleRoomToStopAsksForALowerRapidRate) {
  // It trips at 1007: 3 mm are left, 5 mm needed; sqrt(2 * 1000 * 3) mm/s = 4647.6 mm/min.
  const StudyResult result = study_text(with_switch(1059.0, 50.0));
  const Finding* finding = find(result, "switch");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_NEAR(finding->value, 5.0, 1e-9);
  EXPECT_NEAR(finding->limit, 3.0, 1e-9);
  EXPECT_NE(finding->advice.find("4647 mm/min or less"), std::string::npos) << finding->advice;
}

TEST(CheckSwitch, OvertravelIsHeldAgainstTheWayFromTheEarliestTripToTheStop) {
  // It trips at 1002 and the stop is at 1010: 8 mm past the trip, 6 mm are allowed.
  std::string plan = with_switch(1054.0, 50.0);
  plan.replace(plan.find("overtravel = 20"), 15, "overtravel = 6");
  const StudyResult result = study_text(plan);
  const Finding* finding = find(result, "switch");
  ASSERT_NE(finding, nullptr);
  EXPECT_NEAR(finding->value, 8.0, 1e-9);
  EXPECT_EQ(finding->limit, 6.0);
  EXPECT_NE(finding->advice.find("move the switch by 2.0 mm towards X plus"), std::string::npos)
      << finding->advice;
  ASSERT_EQ(result.switches.size(), 1U);
  // The way to stop in ends with the overtravel, before the hard stop.
  EXPECT_NEAR(result.switches[0].room_mm.value(), 6.0, 1e-9);
  EXPECT_NEAR(result.switches[0].driven_past_trip_mm.value(), 8.0, 1e-9);
  EXPECT_EQ(result.switches[0].overtravel_mm, 6.0);
  // As advised: it trips at 1004.
  std::string mended = with_switch(1056.0, 50.0);
  mended.replace(mended.find("overtravel = 20"), 15, "overtravel = 6");
  EXPECT_EQ(find(study_text(mended), "switch"), nullptr);
}

// A switch on the head, which goes 100 mm down, and its actuator on the ground: at the bottom it
// passes below.
std::string on_head(const std::string& actuator_at, const std::string& actuator_size) {
  return small_machine() +
         "[[switch]]\nname = \"X high\"\njoint = \"X\"\nend = \"high\"\nbody = \"head\"\n"
         "at = [0, 200, 400]\nradius = 6\nactuator_body = \"ground\"\nactuator_at = " +
         actuator_at + "\nactuator_size = " + actuator_size + "\novertravel = 20\n";
}

TEST(CheckSwitch, AMissedSwitchIsMetInTheMiddleOfItsRollerAfterTheAdvice) {
  // The roller's middle runs from Z 400 down to 300; the actuator reaches down to 380 and lies 9 mm
  // beside it.
  const StudyResult result = study_text(on_head("[1011, 209, 380]", "[60, 20, 40]"));
  const Finding* finding = find(result, "switch");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::stop);
  // sqrt(80^2 + 9^2) from the middle to the edge, less the radius.
  EXPECT_NEAR(finding->value, std::hypot(80.0, 9.0) - 6.0, 1e-9);
  EXPECT_NE(finding->advice.find("by 11.0 mm towards -Y and 82.0 mm towards -Z"), std::string::npos)
      << finding->advice;
  EXPECT_EQ(find(study_text(on_head("[1011, 198, 298]", "[60, 31, 122]")), "switch"), nullptr);
}

}  // namespace
}  // namespace bight::study
