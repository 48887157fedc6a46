#include "chain/equal_lines.h"

#include <gtest/gtest.h>

#include <limits>

namespace bight::chain {
namespace {

struct DuctCase {
  double width, height, diameter;
  int squared, hexagonal, best_found, bound;
};

void expect_feasible(const DuctCase& c, const EqualLinesResult& result) {
  ASSERT_EQ(static_cast<int>(result.centres_mm.size()), result.found);
  const double slack = 1e-6;
  for (std::size_t i = 0; i < result.centres_mm.size(); ++i) {
    const Vec2 p = result.centres_mm[i];
    EXPECT_GE(p.x, 0.5 * c.diameter - slack);
    EXPECT_GE(p.y, 0.5 * c.diameter - slack);
    EXPECT_LE(p.x, c.width - 0.5 * c.diameter + slack);
    EXPECT_LE(p.y, c.height - 0.5 * c.diameter + slack);
    for (std::size_t k = 0; k < i; ++k) {
      EXPECT_GE(glm::length(p - result.centres_mm[k]), c.diameter - slack);
    }
  }
}

TEST(EqualLines, CountsReachTheBestOfAnIndependentSearch) {
  // Rows by hand; bound: Oler, Acta Mathematica 105 (1961), from memory; best found: many random
  // starts of another program.
  for (const DuctCase& c :
       {DuctCase{40, 25, 8, 15, 14, 15, 16}, DuctCase{60, 30, 9, 18, 18, 21, 24},
        DuctCase{50, 25, 6, 32, 32, 33, 38}, DuctCase{30, 20, 7.5, 8, 8, 9, 11}}) {
    SCOPED_TRACE(c.diameter);
    const EqualLinesResult result =
        count_equal_lines(c.width, c.height, c.diameter, {.starts = 80});
    ASSERT_TRUE(result.valid);
    EXPECT_EQ(result.squared_rows, c.squared);
    EXPECT_EQ(result.hexagonal_rows, c.hexagonal);
    EXPECT_EQ(result.found, c.best_found);
    EXPECT_EQ(result.upper_bound, c.bound);
    expect_feasible(c, result);
  }
}

TEST(EqualLines, SlightlyThinnerOnesGoInOnceMore) {
  // Largest diameters found for one more by many random starts of another program: 8.77812 and
  // 7.41083 mm.
  EXPECT_EQ(count_equal_lines(60, 30, 8.7, {.starts = 200}).found, 22);
  EXPECT_EQ(count_equal_lines(30, 20, 7.40, {.starts = 80}).found, 10);
}

TEST(EqualLines, ADuctMadeForThemHoldsThem) {
  EXPECT_EQ(count_equal_lines(3 * 0.1, 2 * 0.1, 0.1).found, 6);  // 3 x 0.1 is above 0.3 in binary
  EXPECT_EQ(count_equal_lines(30.0, 10.0, 10.0).found, 3);
}

TEST(EqualLines, TurningTheDuctChangesNothing) {
  const EqualLinesResult wide = count_equal_lines(47, 21, 9, {.starts = 60});
  const EqualLinesResult high = count_equal_lines(21, 47, 9, {.starts = 60});
  EXPECT_EQ(wide.found, high.found);
  EXPECT_EQ(wide.hexagonal_rows, high.hexagonal_rows);
  EXPECT_EQ(wide.upper_bound, high.upper_bound);
}

TEST(EqualLines, ALineThatIsTooThickDoesNotGoIn) {
  const EqualLinesResult result = count_equal_lines(40, 10, 10.5);
  EXPECT_TRUE(result.valid);
  EXPECT_EQ(result.found, 0);
  EXPECT_EQ(result.upper_bound, 0);
}

TEST(EqualLines, RefusesNumbersThatMakeNoSense) {
  EXPECT_FALSE(count_equal_lines(40, 25, 0).valid);
  EXPECT_FALSE(count_equal_lines(40, std::numeric_limits<double>::quiet_NaN(), 8).valid);
  EXPECT_FALSE(count_equal_lines(1e9, 1e9, 1).valid);
}

}  // namespace
}  // namespace bight::chain
