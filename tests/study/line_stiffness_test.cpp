#include "study/line_stiffness.h"

#include <gtest/gtest.h>

namespace bight::study {
namespace {

TEST(LineStiffness, AMeasuredOneHasNoRange) {
  plan::Article article;
  article.outside_diameter = 9.8;
  article.stiffness = 0.02;
  const LineStiffness stiffness = line_stiffness(article);
  EXPECT_TRUE(stiffness.measured);
  EXPECT_EQ(stiffness.value, 0.02);
  EXPECT_EQ(stiffness.lower, 0.02);
  EXPECT_EQ(stiffness.upper, 0.02);
}

// A solid round bar of 10 mm has the second moment of area pi 10^4 / 64 = 490.87 mm^4; with 40 MPa
// (common practice) 19 635 N mm^2.
TEST(LineStiffness, ACableIsEstimatedAsASoftSolidOfItsDiameter) {
  plan::Article article;
  article.kind = plan::LineKind::power;
  article.outside_diameter = 10.0;
  const LineStiffness stiffness = line_stiffness(article);
  EXPECT_FALSE(stiffness.measured);
  EXPECT_NEAR(stiffness.value, 0.019635, 1e-6);
  EXPECT_NEAR(stiffness.lower, 0.019635 / 3.0, 1e-6);
  EXPECT_NEAR(stiffness.upper, 0.019635 * 3.0, 1e-6);
}

TEST(LineStiffness, AThinWalledExtractionHoseIsMuchSofterThanASolid) {
  plan::Article article;
  article.outside_diameter = 46.0;
  article.kind = plan::LineKind::power;
  const double cable = line_stiffness(article).value;
  article.kind = plan::LineKind::extraction;
  EXPECT_NEAR(line_stiffness(article).value, cable / 80.0, 1e-9);
}

}  // namespace
}  // namespace bight::study
