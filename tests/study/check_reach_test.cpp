#include "study/check_reach.h"

#include "plan_fixture.h"

namespace bight::study {
namespace {

std::string with_area(const char* from, const char* to) {
  return small_machine() + "[[work_area]]\nname = \"strip\"\nfrom = " + from + "\nto = " + to +
         "\n";
}

// The tip goes from (0, 0, 0) to (1000, 0, 100).
TEST(CheckReach, AnAreaWithinTheTravelIsReached) {
  EXPECT_EQ(study_text(with_area("[0, 0, 0]", "[1000, 0, 100]")).verdict, Verdict::clear);
}

TEST(CheckReach, AnAreaBeyondTheTravelStopsWithTheMissingTravel) {
  const StudyResult result = study_text(with_area("[0, 0, -12]", "[1040, 0, 0]"));
  EXPECT_EQ(result.verdict, Verdict::stop);
  const Finding* finding = find(result, "reach");
  ASSERT_NE(finding, nullptr);
  EXPECT_NEAR(finding->value, std::hypot(40.0, 12.0), 1e-6);
  EXPECT_NE(finding->advice.find("X has to end at 1040.0 mm (40.0 mm more travel)"),
            std::string::npos)
      << finding->advice;
  EXPECT_NE(finding->advice.find("Z has to begin at -112.0 mm (12.0 mm more travel)"),
            std::string::npos)
      << finding->advice;
}

TEST(CheckReach, AWayThatNoJointMovesAlongIsNamed) {
  const StudyResult result = study_text(with_area("[0, 0, 0]", "[1000, 25, 0]"));
  const Finding* finding = find(result, "reach");
  ASSERT_NE(finding, nullptr);
  EXPECT_NE(finding->advice.find("25.0 mm of the way no joint moves along"), std::string::npos)
      << finding->advice;
}

}  // namespace
}  // namespace bight::study
