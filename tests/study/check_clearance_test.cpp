#include "study/check_clearance.h"

#include "plan_fixture.h"

namespace bight::study {
namespace {

// The spindle's axis runs along X at Y = 0, its lower end between Z = 0 and 100. A wall stands
// beyond the end of X.
std::string wall_at(double x) {
  return small_machine() +
         "[[part]]\nname = \"wall\"\nrole = \"surroundings\"\nshape = \"box\"\nat = [" +
         std::to_string(x) + ", -500, -100]\nsize = [10, 1000, 1000]\n";
}

TEST(CheckClearance, AWallBeyondTheTravelIsClearWithTheDistanceOfPlaneGeometry) {
  // Spindle radius 30 at X = 1000: its surface ends at 1030 (facets at most 0.05 mm outside).
  const StudyResult result = study_text(wall_at(1045.0));
  EXPECT_EQ(result.verdict, Verdict::clear);
  ASSERT_EQ(result.clearance.size(), 1U);
  EXPECT_NEAR(result.clearance[0].upper_mm, 15.0, 0.06);
  EXPECT_LE(result.clearance[0].lower_mm, result.clearance[0].upper_mm);
  EXPECT_NEAR(result.clearance[0].pose[0], 1000.0, 1e-9);
  // Witness points are given as the machine stands at the pose.
  EXPECT_NEAR(result.clearance[0].point_a.x, 1030.0, 0.06);
  EXPECT_NEAR(result.clearance[0].point_b.x, 1045.0, 1e-9);
  EXPECT_EQ(result.reach.share_lower, 1.0);
}

TEST(CheckClearance, AWallTooNearAsksToActWithTheMissingMillimetres) {
  const StudyResult result = study_text(wall_at(1032.0));
  EXPECT_EQ(result.verdict, Verdict::act);
  const Finding* finding = find(result, "clearance");
  ASSERT_NE(finding, nullptr);
  EXPECT_NEAR(finding->value, 2.0, 0.06);
  EXPECT_EQ(finding->limit, 5.0);
  EXPECT_EQ(finding->certainty, Certainty::proved);
  // 5.0 wanted, 2.0 there: 3.0 mm missing, or 3.1 with the facets.
  EXPECT_TRUE(finding->advice.find("by 3.0 mm towards +X") != std::string::npos ||
              finding->advice.find("by 3.1 mm towards +X") != std::string::npos)
      << finding->advice;
}

TEST(CheckClearance, AWallInTheTravelStopsAndTheReachHasBounds) {
  // The spindle's surface reaches the wall at X = 770 - 30; behind it, everything to 1000 + ... is
  // blocked or beyond the wall.
  const StudyResult result = study_text(wall_at(770.0));
  EXPECT_EQ(result.verdict, Verdict::stop);
  const Finding* finding = find(result, "clearance");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->value, 0.0);
  // The wall is 10 mm thick and the spindle 60: X is in contact from 740 to 810, 7 % of 1000.
  EXPECT_LE(result.reach.share_lower, 0.93 + 1e-9);
  EXPECT_GE(result.reach.share_upper, 0.93 - 0.0005);
  EXPECT_LE(result.reach.share_upper - result.reach.share_lower, 0.02);
}

TEST(CheckClearance, AClampInTheTravelOnlyAsksToActSinceAProgramCanKeepOut) {
  const StudyResult result = study_text(small_machine() +
                                        "[[part]]\nname = \"clamp\"\nrole = \"clamp\"\nshape = "
                                        "\"box\"\nat = [500, -20, -20]\nsize = [40, 40, 60]\n");
  EXPECT_EQ(result.verdict, Verdict::act);
  ASSERT_NE(find(result, "clearance"), nullptr);
  EXPECT_NE(find(result, "clearance")->what.find("a program has to stay out"), std::string::npos);
}

TEST(CheckClearance, PairsThatTouchByDesignAreLeftOutAndListed) {
  const StudyResult result = study_text(
      wall_at(770.0) + "[[touching]]\nbetween = [\"wall\", \"spindle\"]\nwhy = \"test\"\n");
  EXPECT_EQ(result.verdict, Verdict::clear);
  ASSERT_EQ(result.touching.size(), 1U);
  EXPECT_EQ(result.touching[0].why, "test");
  EXPECT_TRUE(result.clearance.empty());
}

TEST(CheckClearance, AWishForNoDistanceStillSeesContact) {
  std::string plan = wall_at(770.0);
  plan += "minimum_clearance = 0\n";
  EXPECT_EQ(study_text(plan).verdict, Verdict::stop);
}

TEST(CheckClearance, ContactBetweenSoftTravelAndHardStopIsNamed) {
  // X ends at 1000, its stop is at 1010: the spindle's surface goes on from 1030 to 1040.
  std::string plan = wall_at(1035.5);
  const StudyResult result = study_text(plan);
  const Finding* finding = find(result, "clearance beyond travel");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_GT(finding->pose[0], 1005.0);
  EXPECT_LE(finding->pose[0], 1010.0);
  EXPECT_EQ(find(study_text(wall_at(1041.0)), "clearance beyond travel"), nullptr);
}

TEST(CheckClearance, TheAdviceHelpsWhenFollowed) {
  const StudyResult before = study_text(wall_at(1032.0));
  double distance = 0.0;
  ASSERT_EQ(std::sscanf(find(before, "clearance")->advice.c_str(), "move wall by %lf mm towards +X",
                        &distance),
            1);
  EXPECT_EQ(find(study_text(wall_at(1032.0 + distance)), "clearance"), nullptr);
}

TEST(Study, OneAndManyThreadsGiveTheSameBits) {
  const std::string plan = wall_at(770.0);
  const StudyResult one = study_text(plan, "", {.threads = 1});
  for (const unsigned threads : {2U, 5U}) {
    const StudyResult many = study_text(plan, "", {.threads = threads});
    ASSERT_EQ(one.findings.size(), many.findings.size());
    for (std::size_t i = 0; i < one.findings.size(); ++i) {
      EXPECT_EQ(one.findings[i].what, many.findings[i].what);
      EXPECT_EQ(one.findings[i].pose, many.findings[i].pose);
      EXPECT_EQ(one.findings[i].value, many.findings[i].value);
      EXPECT_EQ(one.findings[i].advice, many.findings[i].advice);
    }
    EXPECT_EQ(one.clearance[0].lower_mm, many.clearance[0].lower_mm);
    EXPECT_EQ(one.reach.volume_lower_mm3, many.reach.volume_lower_mm3);
    EXPECT_EQ(one.reach.volume_upper_mm3, many.reach.volume_upper_mm3);
  }
}

TEST(Study, ACancelledStudySaysSo) {
  Progress progress;
  progress.cancel();
  EXPECT_TRUE(study_text(wall_at(1040.0), "", {.progress = &progress}).cancelled);
}

}  // namespace
}  // namespace bight::study
