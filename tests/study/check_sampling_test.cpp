#include "study/check_sampling.h"

#include <gtest/gtest.h>

namespace bight::study {
namespace {

class CheckSampling : public ::testing::Test {
 protected:
  plan::Plan plan_;
  machine::Machine machine_;
  StudyOptions options_;
  Context context_{plan_, machine_, options_};
};

TEST_F(CheckSampling, WhatIsSettledOrWasNotSampledNeedsNoNote) {
  StudyResult result;
  result.free_runs.push_back({.run = "proved"});
  result.free_runs.push_back({.run = "settled", .poses = 100, .settled = true});
  result.chains.push_back({.name = "without weight"});
  result.chains.push_back(
      {.name = "settled", .shape = ChainShapeFigures{.poses = 17, .settled = true}});
  result.supports.push_back({.name = "hook"});
  EXPECT_TRUE(check_sampling(context_, result).empty());
}

TEST_F(CheckSampling, EachDoubtIsANoteWithItsPosesAndItsStep) {
  StudyResult result;
  result.free_runs.push_back({.run = "cord",
                              .from = "hook",
                              .to = "head",
                              .poses = 1330,
                              .step_mm = 69.2,
                              .settled = false});
  result.chains.push_back(
      {.name = "X chain",
       .shape = ChainShapeFigures{.poses = 34, .step_mm = 50.0, .settled = false},
       .near = ChainNearFigures{
           .clearance_to = "post", .poses = 200, .step_mm = 12.0, .settled = false}});
  result.supports.push_back(
      {.name = "rail", .kind = "trolley", .poses = 440, .step_mm = 138.0, .settled = false});
  const std::vector<Finding> findings = check_sampling(context_, result);
  ASSERT_EQ(findings.size(), 4U);
  for (const Finding& finding : findings) {
    EXPECT_EQ(finding.check, "sampling");
    EXPECT_EQ(finding.severity, Severity::note);
    EXPECT_EQ(finding.certainty, Certainty::sampled);
  }
  // Other legs of the run, and the two doubts of the chain, are findings of their own.
  EXPECT_EQ(findings[2].things, (std::vector<std::string>{"cord", "hook", "head"}));
  EXPECT_NE(findings[0].things, findings[1].things);
  EXPECT_EQ(findings[2].poses, 1330U);
  EXPECT_EQ(findings[2].step_mm, 69.2);
  EXPECT_NE(findings[2].what.find("1330 poses"), std::string::npos) << findings[2].what;
}

}  // namespace
}  // namespace bight::study
