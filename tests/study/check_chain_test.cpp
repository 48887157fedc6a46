#include "study/check_chain.h"

#include <cstdio>
#include <numbers>

#include "plan_fixture.h"

namespace bight::study {
namespace {

// A chain on X: travel 1000, fixed bracket at mid travel, R = 60, the moving run 2 R above the
// fixed one.
std::string with_chain(const std::string& more, const std::string& line_diameter = "8.0",
                       const std::string& radius = "bend_multiple_moving = 5") {
  return small_machine() + R"(
[[chain]]
name = "X chain"
moving_body = "carriage"
fixed_at = [500, 300, 400]
moving_at = [0, 300, 520]
opens = [1, 0, 0]
bend_radius = 60
pitch = 20
inner_width = 40
inner_height = 20
outer_width = 52
outer_height = 28
mass = 0.6
load_span = [[0.1, 1200], [1.0, 600]]
)" + more +
         R"(
[[article]]
name = "motor cable"
kind = "motor"
outside_diameter = )" +
         line_diameter + "\nmass = 0.1\n" + radius + R"(
[[line]]
name = "X motor"
article = "motor cable"
run = "along X"
[[run]]
name = "along X"
[[run.leg]]
way = "chain"
chain = "X chain"
)";
}

TEST(CheckChain, AWellSetChainIsClearAndAsLongAsTheClosedFormSays) {
  const StudyResult result = study_text(with_chain(""));
  EXPECT_EQ(result.verdict, Verdict::clear)
      << (result.findings.empty() ? "" : result.findings[0].what);
  ASSERT_EQ(result.chains.size(), 1U);
  // Common practice: fixed end at mid travel, L = travel / 2 + pi R, whole links.
  const double shortest = 500.0 + std::numbers::pi * 60.0;
  EXPECT_EQ(result.chains[0].loop.links, static_cast<int>(std::ceil(shortest / 20.0)));
  EXPECT_NEAR(result.chains[0].loop.height_mm, 120.0 + 28.0, 1e-9);
  ASSERT_EQ(result.lines.size(), 1U);
  EXPECT_EQ(result.lines[0].legs[0].length_mm, result.chains[0].loop.length_mm);
}

TEST(CheckChain, TooFewLinksStop) {
  const StudyResult result = study_text(with_chain("links = 30"));
  const Finding* finding = find(result, "chain length");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::stop);
  EXPECT_NEAR(finding->limit, 500.0 + std::numbers::pi * 60.0, 1e-9);
  EXPECT_NE(finding->advice.find("at least 35 links (700.0 mm)"), std::string::npos)
      << finding->advice;
}

TEST(CheckChain, ALineThatNeedsAWiderBendAsksForAWiderChain) {
  // 10 x 8 = 80 mm inner radius wanted; the chain bends its middle to 60, the line's inner side
  // to 56.
  const StudyResult result = study_text(with_chain("", "8.0", "bend_multiple_moving = 10"));
  const Finding* finding = find(result, "chain bend");
  ASSERT_NE(finding, nullptr);
  EXPECT_NEAR(finding->value, 56.0, 1e-9);
  EXPECT_NEAR(finding->limit, 80.0, 1e-9);
  EXPECT_NE(finding->advice.find("at least 84 mm"), std::string::npos) << finding->advice;
}

TEST(CheckChain, ALongUnsupportedRunIsHeldAgainstTheMakersPairs) {
  std::string plan = with_chain("");
  const std::string pairs = "load_span = [[0.1, 1200], [1.0, 600]]";
  plan.replace(plan.find(pairs), pairs.size(), "load_span = [[0.05, 400], [0.25, 200]]");
  const StudyResult result = study_text(plan);
  const Finding* finding = find(result, "chain span");
  ASSERT_NE(finding, nullptr);
  // 0.1 kg/m lies a quarter of the way from 400 to 200 mm.
  EXPECT_NEAR(finding->limit, 350.0, 1e-9);
  EXPECT_EQ(finding->severity, Severity::act);
}

TEST(CheckChain, TheFixedRunIsTheUnsupportedOneWhereItLiesAbove) {
  std::string plan = with_chain("");
  const std::string at = "moving_at = [0, 300, 520]";
  plan.replace(plan.find(at), at.size(), "moving_at = [0, 300, 280]");
  const std::string pairs = "load_span = [[0.1, 1200], [1.0, 600]]";
  plan.replace(plan.find(pairs), pairs.size(), "load_span = [[0.1, 200]]");
  const StudyResult result = study_text(plan);
  const Finding* finding = find(result, "chain span");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  // Fixed at mid travel: with the moving end farthest out, x_b - x_F = (L - pi R + 500) / 2.
  const double length = result.chains[0].loop.length_mm;
  EXPECT_NEAR(finding->value, 0.5 * (length - std::numbers::pi * 60.0 + 500.0), 1e-9);
  EXPECT_NE(finding->what.find("fixed one"), std::string::npos) << finding->what;
}

TEST(CheckChain, OnItsSideNoSpanOfAMakerHolds) {
  std::string plan = with_chain("");
  const std::string at = "moving_at = [0, 300, 520]";
  plan.replace(plan.find(at), at.size(), "moving_at = [0, 420, 400]");
  const StudyResult noted = study_text(plan);
  const Finding* note = find(noted, "chain span");
  ASSERT_NE(note, nullptr);
  EXPECT_EQ(note->severity, Severity::note);

  const std::string pairs = "load_span = [[0.1, 1200], [1.0, 600]]";
  plan.replace(plan.find(pairs), pairs.size(), "load_span = [[0.1, 200]]");
  const StudyResult too_long = study_text(plan);
  const Finding* finding = find(too_long, "chain span");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::act);
  EXPECT_EQ(finding->limit, 200.0);
}

TEST(CheckChain, BracketsNearerThanTwoRadiiCannotBeMounted) {
  std::string plan = with_chain("");
  const std::string at = "moving_at = [0, 300, 520]";
  plan.replace(plan.find(at), at.size(), "moving_at = [0, 300, 500]");
  const StudyResult result = study_text(plan);
  const Finding* finding = find(result, "chain mounting");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::stop);
  EXPECT_NE(finding->advice.find("20.0 mm"), std::string::npos) << finding->advice;
  EXPECT_NE(finding->advice.find("bend radius of 50.0 mm"), std::string::npos) << finding->advice;
}

TEST(CheckChain, BracketsOutOfLineTwistTheChain) {
  // 2 R = 120 mm apart with 40 mm of it sideways: sqrt(120^2 - 40^2) upward.
  std::string plan = with_chain("");
  const std::string at = "moving_at = [0, 300, 520]";
  plan.replace(plan.find(at), at.size(), "moving_at = [0, 340, 513.1371]");
  const StudyResult result = study_text(plan);
  const Finding* finding = find(result, "chain mounting");
  ASSERT_NE(finding, nullptr);
  EXPECT_NEAR(finding->value, 40.0, 0.01);
  EXPECT_NE(finding->advice.find("by 40.0 mm towards -Y"), std::string::npos) << finding->advice;
}

TEST(CheckChain, ALineThatDoesNotFitStops) {
  const StudyResult result = study_text(with_chain("", "22.0"));
  const Finding* finding = find(result, "chain fill");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->severity, Severity::stop);
}

// What the advice says is enough, to the last digit that it shows: applied, the lines fit.
TEST(CheckChain, AnInnerSectionAsAdvisedHoldsTheLines) {
  int advised = 0;
  for (const double diameter : {19.37, 22.0, 24.04, 27.51}) {
    for (const char* more : {"",
                             "[[line]]\nname = \"second\"\narticle = \"motor cable\"\n"
                             "run = \"along X\"\n"}) {
      std::string plan = with_chain("", std::to_string(diameter)) + more;
      const StudyResult result = study_text(plan);
      const Finding* finding = find(result, "chain fill");
      ASSERT_NE(finding, nullptr);
      double width = 0.0;
      double height = 0.0;
      ASSERT_EQ(std::sscanf(finding->advice.c_str(), "take an inner section of %lf mm x %lf mm",
                            &width, &height),
                2)
          << finding->advice;
      ++advised;
      const std::string section = "inner_width = 40\ninner_height = 20\nouter_width = 52\n";
      plan.replace(plan.find(section), section.size(),
                   "inner_width = " + std::to_string(width) +
                       "\ninner_height = " + std::to_string(height) + "\nouter_width = 90\n");
      plan.replace(plan.find("outer_height = 28"), 17, "outer_height = 58");
      for (const Finding& after : study_text(plan).findings) {
        EXPECT_FALSE(after.check == "chain fill" && after.severity == Severity::stop) << after.what;
      }
    }
  }
  EXPECT_EQ(advised, 8);
}

TEST(CheckChain, TheBendOfTheChainIsInTheClearanceProof) {
  // The bend's outside reaches x_b + R + 14 at most; a post stands in its way at the height of the
  // bend.
  const std::string post =
      "[[part]]\nname = \"post\"\nrole = \"surroundings\"\nshape = \"box\"\nat = [900, 280, "
      "420]\nsize = [20, 40, 80]\n";
  const StudyResult result = study_text(with_chain("") + post);
  EXPECT_EQ(result.verdict, Verdict::stop);
  const Finding* finding = find(result, "clearance");
  ASSERT_NE(finding, nullptr);
  EXPECT_EQ(finding->things[0] == "X chain" ? finding->things[1] : finding->things[0], "post");
}

}  // namespace
}  // namespace bight::study
