#include "line/bend_limit.h"

#include <gtest/gtest.h>

#include <array>

namespace bight::line {
namespace {

plan::Article cable(double diameter) {
  plan::Article article;
  article.outside_diameter = diameter;
  return article;
}

TEST(BendLimit, TheMakersRadiusRules) {
  plan::Article article = cable(8.4);
  article.bend_radius_moving = 65.0;
  article.bend_multiple_moving = 7.5;
  const BendLimit limit = bend_limit(article, BendUse::moving, plan::Rules{});
  EXPECT_EQ(limit.inner_mm, 65.0);
  EXPECT_EQ(limit.because, "given");
  EXPECT_EQ(limit.source, BendSource::maker_radius);
}

TEST(BendLimit, TheMakersMultipleComesNext) {
  plan::Article article = cable(8.4);
  article.bend_multiple_moving = 7.5;
  const BendLimit limit = bend_limit(article, BendUse::moving, plan::Rules{});
  EXPECT_DOUBLE_EQ(limit.inner_mm, 63.0);
  EXPECT_EQ(limit.because, "7.5 x 8.4 mm given");
}

TEST(BendLimit, WithoutDataTenDiametersMovingAndFiveFixed) {
  // DGUV Information 203-079, 5.5.
  const BendLimit moving = bend_limit(cable(8.4), BendUse::moving, plan::Rules{});
  EXPECT_DOUBLE_EQ(moving.inner_mm, 84.0);
  EXPECT_EQ(moving.because, "10 x 8.4 mm, DGUV Information 203-079 5.5, no maker's data");
  const BendLimit fixed = bend_limit(cable(8.4), BendUse::fixed, plan::Rules{});
  EXPECT_DOUBLE_EQ(fixed.inner_mm, 42.0);
}

TEST(BendLimit, AnotherDefaultIsNotPassedOffAsAStandard) {
  plan::Rules rules;
  rules.default_multiple_moving = 12.0;
  EXPECT_EQ(bend_limit(cable(10.0), BendUse::moving, rules).because,
            "12 x 10 mm, default multiple, no maker's data");
}

TEST(BendLimit, MovingAndFixedDataAreKeptApart) {
  plan::Article article = cable(10.0);
  article.bend_radius_fixed = 30.0;
  EXPECT_EQ(bend_limit(article, BendUse::fixed, plan::Rules{}).inner_mm, 30.0);
  EXPECT_EQ(bend_limit(article, BendUse::moving, plan::Rules{}).source,
            BendSource::default_multiple);
}

TEST(BendLimit, TheCentreLineBendsHalfADiameterWider) {
  const BendLimit limit = bend_limit({.diameter_mm = 10.0, .radius_mm = 75.0, .multiple = {}});
  EXPECT_EQ(limit.inner_mm, 75.0);
  EXPECT_EQ(limit.centre_line_mm, 80.0);
  // A chain whose pitch line bends to exactly the centre-line limit gives exactly the inner limit.
  EXPECT_EQ(inner_radius_in_chain(limit.centre_line_mm, 10.0), limit.inner_mm);
}

TEST(BendLimit, ALineNearerTheInsideOfTheBendBendsTighter) {
  EXPECT_EQ(inner_radius_in_chain(80.0, 10.0, 4.0), 71.0);
  EXPECT_EQ(inner_radius_in_chain(80.0, 10.0, -4.0), 79.0);
}

TEST(BendLimit, BadNumbersFailEveryComparison) {
  const BendLimit limit = bend_limit({.diameter_mm = 0.0, .radius_mm = 50.0, .multiple = {}});
  EXPECT_EQ(limit.source, BendSource::none);
  EXPECT_FALSE(limit.inner_mm <= 1e9);
  EXPECT_FALSE(limit.centre_line_mm >= 0.0);
}

TEST(BendLimit, FactorsOfIec60204TableEight) {
  // IEC 60204-1:2016, Table 8 (from memory; the same numbers stand in NFPA 79 ch. 13).
  for (const Guiding guiding : {Guiding::drum, Guiding::festoon, Guiding::chain}) {
    EXPECT_EQ(iec_60204_1_multiple(guiding, 8.0), 6.0);
    EXPECT_EQ(iec_60204_1_multiple(guiding, 20.0), 6.0);
    EXPECT_EQ(iec_60204_1_multiple(guiding, 20.1), 8.0);
  }
  EXPECT_EQ(iec_60204_1_multiple(Guiding::roller, 8.0), 6.0);
  EXPECT_EQ(iec_60204_1_multiple(Guiding::roller, 8.1), 8.0);
  EXPECT_EQ(iec_60204_1_multiple(Guiding::roller, 25.0), 8.0);
  EXPECT_FALSE(iec_60204_1_multiple(Guiding::fixed, 8.0).has_value());
}

TEST(BendLimit, FactorsOfDinVde0298) {
  // DIN VDE 0298-3, flexible cables, columns d <= 8, 8-12, 12-20, > 20 mm (a reproduction was
  // read).
  struct Row {
    Guiding guiding;
    std::array<double, 4> multiples;
  };
  for (const Row& row :
       {Row{Guiding::fixed, {3, 3, 4, 4}}, Row{Guiding::free_movement, {3, 4, 5, 5}},
        Row{Guiding::drum, {5, 5, 5, 6}}, Row{Guiding::festoon, {3, 4, 5, 5}},
        Row{Guiding::chain, {4, 4, 5, 5}}, Row{Guiding::roller, {7.5, 7.5, 7.5, 7.5}}}) {
    EXPECT_EQ(din_vde_0298_3_multiple(row.guiding, 8.0), row.multiples[0]);
    EXPECT_EQ(din_vde_0298_3_multiple(row.guiding, 12.0), row.multiples[1]);
    EXPECT_EQ(din_vde_0298_3_multiple(row.guiding, 20.0), row.multiples[2]);
    EXPECT_EQ(din_vde_0298_3_multiple(row.guiding, 20.5), row.multiples[3]);
  }
}

}  // namespace
}  // namespace bight::line
