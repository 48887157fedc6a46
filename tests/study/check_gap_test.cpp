#include "study/check_gap.h"

#include "plan_fixture.h"

namespace bight::study {
namespace {

std::string with_gap(const char* limb) {
  return small_machine() +
         "[[part]]\nname = \"wall\"\nrole = \"surroundings\"\nshape = \"box\"\nat = [1330, -500, "
         "-100]\nsize = [10, "
         "1000, 1000]\n[[gap]]\nbetween = [\"spindle\", \"wall\"]\nlimb = \"" +
         limb + "\"\n";
}

// The spindle ends at X = 1040 at its hard stop: 290 mm are left (ISO 13854:2017: body 500, head
// 300, arm 120).
TEST(CheckGap, AGapWiderThanTheLimbNeedsIsGood) {
  EXPECT_EQ(find(study_text(with_gap("arm")), "crush gap"), nullptr);
}

TEST(CheckGap, AGapNarrowerThanABodyNeedsSaysHowMuchIsMissing) {
  const StudyResult result = study_text(with_gap("body"));
  const Finding* finding = find(result, "crush gap");
  ASSERT_NE(finding, nullptr);
  EXPECT_NEAR(finding->value, 290.0, 0.06);
  EXPECT_EQ(finding->limit, 500.0);
  EXPECT_NE(finding->advice.find("towards +X"), std::string::npos) << finding->advice;
}

// The wall stands 26 mm beyond the spindle at X = 1000, but the hard stop is at 1010.
TEST(CheckGap, AGapCountsToTheHardStops) {
  std::string plan = with_gap("finger");
  plan.replace(plan.find("[1330,"), 6, "[1056,");
  const StudyResult result = study_text(plan);
  const Finding* finding = find(result, "crush gap");
  ASSERT_NE(finding, nullptr);
  EXPECT_NEAR(finding->value, 16.0, 0.06);
  EXPECT_EQ(finding->pose[0], 1010.0);
  EXPECT_NE(finding->what.find("hard stops"), std::string::npos) << finding->what;
  EXPECT_NE(finding->advice.find("towards +X"), std::string::npos) << finding->advice;
}

TEST(CheckGap, TheStandardsLimbsHaveTheirGaps) {
  // ISO 13854:2017, minimum gaps as listed in a public insurer's lexicon.
  EXPECT_EQ(minimum_gap("finger"), 25.0);
  EXPECT_EQ(minimum_gap("hand"), 100.0);
  EXPECT_EQ(minimum_gap("foot"), 120.0);
  EXPECT_EQ(minimum_gap("tail"), std::nullopt);
}

}  // namespace
}  // namespace bight::study
