#include "study/check_switch.h"

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

}  // namespace
}  // namespace bight::study
