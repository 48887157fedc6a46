#include "study/check_speed.h"

#include "plan_fixture.h"

namespace bight::study {
namespace {

std::string with_speed(const std::string& speed) {
  std::string text = small_machine();
  const std::string written = "speed = 6000";
  return text.replace(text.find(written), written.size(), "speed = " + speed);
}

// 6 m/min written as 6, and 100 mm/s as 100: the second could be meant.
TEST(CheckSpeed, ARapidRateThatCanHardlyBeMeantIsDoubted) {
  const StudyResult result = study_text(with_speed("6"));
  const Finding* finding = find(result, "speed");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_EQ(finding->value, 6.0);
  // 1000 mm of travel.
  EXPECT_NE(finding->what.find("167 minutes"), std::string::npos) << finding->what;
  EXPECT_NE(finding->advice.find("mm/min"), std::string::npos) << finding->advice;
}

TEST(CheckSpeed, ASlowOneThatCanBeMeantIsNot) {
  EXPECT_EQ(find(study_text(with_speed("100")), "speed"), nullptr);
}

}  // namespace
}  // namespace bight::study
