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

// The spindle ends at X = 1030 at the end of its travel: 300 mm are left (ISO 13854:2017: body 500,
// head 300, arm 120).
TEST(CheckGap, AGapWiderThanTheLimbNeedsIsGood) {
  EXPECT_EQ(find(study_text(with_gap("arm")), "crush gap"), nullptr);
}

TEST(CheckGap, AGapNarrowerThanABodyNeedsSaysHowMuchIsMissing) {
  const StudyResult result = study_text(with_gap("body"));
  const Finding* finding = find(result, "crush gap");
  ASSERT_NE(finding, nullptr);
  EXPECT_NEAR(finding->value, 300.0, 0.06);
  EXPECT_EQ(finding->limit, 500.0);
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
