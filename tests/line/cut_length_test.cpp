#include "line/cut_length.h"

#include <gtest/gtest.h>

#include <limits>

namespace bight::line {
namespace {

TEST(CutLength, AddsLegsLoopTerminationsAndSpareThenRoundsUp) {
  const CutLengthResult result = cut_length({.legs_mm = {1200.0, 940.0, 610.0},
                                             .service_loop_mm = 150.0,
                                             .termination_start_mm = 60.0,
                                             .termination_end_mm = 40.0,
                                             .spare_percent = 5.0,
                                             .purchase_step_mm = 100.0});
  EXPECT_TRUE(result.valid);
  EXPECT_DOUBLE_EQ(result.run_mm, 2750.0);
  EXPECT_DOUBLE_EQ(result.net_mm, 3000.0);
  EXPECT_DOUBLE_EQ(result.with_spare_mm, 3150.0);
  EXPECT_DOUBLE_EQ(result.cut_mm, 3200.0);
}

TEST(CutLength, AnExactMultipleIsNotSteppedUpByRounding) {
  // 1000 x 1.1 is 1100.0000000000002 in binary.
  EXPECT_DOUBLE_EQ(
      cut_length({.legs_mm = {1000.0}, .spare_percent = 10.0, .purchase_step_mm = 100.0}).cut_mm,
      1100.0);
  EXPECT_DOUBLE_EQ(cut_length({.legs_mm = {1000.01}, .purchase_step_mm = 100.0}).cut_mm, 1100.0);
}

TEST(CutLength, WithoutAStepNothingIsRounded) {
  EXPECT_DOUBLE_EQ(cut_length({.legs_mm = {1234.5}}).cut_mm, 1234.5);
}

TEST(CutLength, IsNeverShorterThanWhatIsNeeded) {
  for (double leg = 0.0; leg < 700.0; leg += 13.7) {
    const CutLengthResult result =
        cut_length({.legs_mm = {leg, 55.5}, .spare_percent = 3.0, .purchase_step_mm = 250.0});
    EXPECT_GE(result.cut_mm, result.with_spare_mm - 1e-6);
    EXPECT_LT(result.cut_mm, result.with_spare_mm + 250.0);
  }
}

TEST(CutLength, RefusesNegativeAndMissingNumbers) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_FALSE(cut_length({.legs_mm = {100.0, nan}}).valid);
  EXPECT_FALSE(cut_length({.legs_mm = {-1.0}}).valid);
  EXPECT_FALSE(cut_length({.legs_mm = {100.0}, .spare_percent = -5.0}).valid);
  EXPECT_FALSE(cut_length({.legs_mm = {100.0}, .purchase_step_mm = nan}).valid);
}

TEST(Drums, SumPiecesByArticleInTheOrderOfFirstUse) {
  const std::vector<Piece> pieces{{"spindle", "3G1.5", 3200.0},
                                  {"stepper X", "4x0.75", 2500.0},
                                  {"stepper Y", "4x0.75", 1800.0}};
  const std::vector<ArticlePrice> prices{{"4x0.75", 2.5}};
  const std::vector<Drum> result = drums(pieces, prices);
  ASSERT_EQ(result.size(), 2U);
  EXPECT_EQ(result[0].article, "3G1.5");
  EXPECT_FALSE(result[0].price.has_value());
  EXPECT_EQ(result[1].lines, (std::vector<std::string>{"stepper X", "stepper Y"}));
  EXPECT_DOUBLE_EQ(result[1].total_mm, 4300.0);
  EXPECT_DOUBLE_EQ(result[1].longest_mm, 2500.0);
  EXPECT_DOUBLE_EQ(result[1].price.value(), 10.75);
}

}  // namespace
}  // namespace bight::line
