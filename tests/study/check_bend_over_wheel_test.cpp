#include "study/check_bend_over_wheel.h"

#include "plan_fixture.h"

namespace bight::study {
namespace {

/// A cord that allows 6 x 10 = 60 mm at its inside, from a support to the carriage.
StudyResult with_support(const std::string& support) {
  return study_text(small_machine() + R"(
[[article]]
name = "cable"
kind = "power"
outside_diameter = 10
mass = 0.15
stiffness = 0.02
bend_multiple_moving = 6
[[line]]
name = "cord"
article = "cable"
run = "way"
[[run]]
name = "way"
[[run.leg]]
way = "free"
from = "overhead"
to = "hold"
[[anchor]]
name = "hold"
body = "carriage"
at = [0, 0, 600]
[[support]]
name = "overhead"
at = [500, 0, 1500]
)" + support);
}

const std::string k_pulley = "kind = \"pulley\"\nweight = 1.2\ndrop = [100, 1400]\n";
const std::string k_retractor = "kind = \"retractor\"\npull = 10\npaid_out = [300, 1800]\n";

TEST(BendOverWheel, AWheelThatIsTooSmallStops) {
  for (const std::string& kind : {k_pulley, k_retractor}) {
    const StudyResult result = with_support(kind + "radius = 40\n");
    const Finding* finding = find(result, "bend over a wheel");
    ASSERT_NE(finding, nullptr);
    EXPECT_EQ(finding->severity, Severity::stop);
    EXPECT_EQ(finding->value, 40.0);
    EXPECT_EQ(finding->limit, 60.0);
  }
}

TEST(BendOverWheel, AWheelThatIsLargeEnoughIsGood) {
  EXPECT_EQ(find(with_support(k_pulley + "radius = 60\n"), "bend over a wheel"), nullptr);
}

TEST(BendOverWheel, AnUnknownWheelIsToldWithTheRadiusThatItNeeds) {
  const StudyResult result = with_support(k_retractor);
  const Finding* finding = find(result, "bend over a wheel");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::note);
  EXPECT_NE(finding->what.find("drum"), std::string::npos) << finding->what;
  EXPECT_NE(finding->advice.find("60.0 mm"), std::string::npos) << finding->advice;
}

TEST(BendOverWheel, AHookHasNone) {
  EXPECT_EQ(find(with_support(""), "bend over a wheel"), nullptr);
}

}  // namespace
}  // namespace bight::study
