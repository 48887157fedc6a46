#include "chain/fill.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

namespace bight::chain {
namespace {

using plan::LineKind;

FillLine cable(std::string name, LineKind kind, double diameter, double mass = 0.1) {
  return {.name = std::move(name),
          .kind = kind,
          .diameter_mm = diameter,
          .mass_kg_per_m = mass,
          .at_mm = {},
          .connector_mm = {}};
}

FillProblem section(double width, double height, std::vector<FillLine> lines) {
  FillProblem problem;
  problem.width_mm = width;
  problem.height_mm = height;
  problem.lines = std::move(lines);
  return problem;
}

/// Every promise about placed lines, measured afresh.
void expect_kept(const FillProblem& problem, const FillResult& result) {
  const double slack = 2e-6;
  for (std::size_t i = 0; i < result.lines.size(); ++i) {
    if (!result.lines[i].centre_mm) continue;
    const Vec2 at = *result.lines[i].centre_mm;
    const double r = 0.5 * problem.lines[i].diameter_mm;
    const double own = wanted_clearance(problem, problem.lines[i]);
    const Compartment& c = result.compartments[result.lines[i].compartment];
    double least = std::min(
        {at.y - r, problem.height_mm - at.y - r, at.x - r - c.left_mm, c.right_mm - at.x - r});
    EXPECT_GE(least, own - slack);
    for (std::size_t k = 0; k < result.lines.size(); ++k) {
      if (k == i || !result.lines[k].centre_mm) continue;
      const double gap =
          glm::length(at - *result.lines[k].centre_mm) - r - 0.5 * problem.lines[k].diameter_mm;
      if (result.lines[k].compartment == result.lines[i].compartment) {
        EXPECT_GE(gap, std::max(own, wanted_clearance(problem, problem.lines[k])) - slack);
        least = std::min(least, gap);
      }
      EXPECT_GT(gap, 0.0);
    }
    EXPECT_NEAR(result.lines[i].clearance_mm, least, 1e-9);
  }
}

TEST(Fill, LinesLieSideBySideAtMidHeight) {
  const FillProblem problem =
      section(60, 20,
              {cable("spindle", LineKind::power, 12), cable("X motor", LineKind::motor, 8),
               cable("air", LineKind::air, 10)});
  const FillResult result = fill_section(problem);
  ASSERT_EQ(result.status, FillStatus::fits) << result.problem;
  for (const PlacedLine& line : result.lines) EXPECT_DOUBLE_EQ(line.centre_mm->y, 10.0);
  expect_kept(problem, result);
  EXPECT_EQ(result.compartments[0].lines.size(), 3U);
}

TEST(Fill, ClearancesAreTenPercentForCablesTwentyForHosesAndNeverUnderOne) {
  // Common practice of chain makers' guides.
  const FillProblem problem = section(60, 20, {});
  EXPECT_DOUBLE_EQ(wanted_clearance(problem, cable("a", LineKind::power, 15)), 1.5);
  EXPECT_DOUBLE_EQ(wanted_clearance(problem, cable("b", LineKind::signal, 6)), 1.0);
  EXPECT_DOUBLE_EQ(wanted_clearance(problem, cable("c", LineKind::air, 8)), 1.6);
  EXPECT_DOUBLE_EQ(wanted_clearance(problem, cable("d", LineKind::extraction, 40)), 8.0);
}

TEST(Fill, SpareRoomIsSharedOutEvenly) {
  // 30 wide, one of 10: 10 mm to either wall. Two of 10 in 35: 15 spare over three gaps.
  const FillResult one = fill_section(section(30, 20, {cable("a", LineKind::power, 10)}));
  EXPECT_DOUBLE_EQ(one.lines[0].centre_mm->x, 15.0);
  EXPECT_DOUBLE_EQ(one.lines[0].clearance_mm, 5.0);
  const FillResult two = fill_section(
      section(35, 12, {cable("a", LineKind::power, 10), cable("b", LineKind::power, 10)}));
  EXPECT_NEAR(two.lines[0].centre_mm->x, 10.0, 1e-12);
  EXPECT_NEAR(two.lines[1].centre_mm->x, 25.0, 1e-12);
}

TEST(Fill, LinesThatDoNotFitInARowArePackedWithTheirClearances) {
  std::vector<FillLine> lines;
  for (int i = 0; i < 8; ++i) lines.push_back(cable("c" + std::to_string(i), LineKind::signal, 7));
  const FillProblem problem = section(42, 19, lines);  // a row would need 65 mm
  const FillResult result = fill_section(problem);
  ASSERT_EQ(result.status, FillStatus::fits) << result.problem;
  expect_kept(problem, result);
}

TEST(Fill, PowerAndSignalGoToDifferentCompartments) {
  FillProblem problem =
      section(60, 18,
              {cable("spindle", LineKind::power, 12), cable("probe", LineKind::signal, 5),
               cable("Z motor", LineKind::motor, 8), cable("switches", LineKind::signal, 6)});
  problem.dividers_mm = {36};
  problem.divider_thickness_mm = 2;
  const FillResult result = fill_section(problem);
  ASSERT_EQ(result.status, FillStatus::fits) << result.problem;
  expect_kept(problem, result);
  EXPECT_EQ(result.lines[0].compartment, result.lines[2].compartment);
  EXPECT_EQ(result.lines[1].compartment, result.lines[3].compartment);
  EXPECT_NE(result.lines[0].compartment, result.lines[1].compartment);
  for (const FillPair& pair : result.pairs) EXPECT_FALSE(pair.power_by_signal);
}

TEST(Fill, PowerBesideSignalIsRemarkedWithoutADivider) {
  const FillResult result = fill_section(section(
      60, 15, {cable("spindle", LineKind::power, 12), cable("probe", LineKind::signal, 8)}));
  ASSERT_EQ(result.pairs.size(), 1U);
  EXPECT_TRUE(result.pairs[0].power_by_signal);
  // 20 mm of diameters are more than 1.2 x 15 mm: they cannot climb over each other.
  EXPECT_FALSE(result.pairs[0].climbs);
}

TEST(Fill, ThinNeighboursInAHighCompartmentCanClimb) {
  // Height rule, common practice: d1 + d2 > 1.2 x height, or a divider between.
  const auto remarked = [](double height) {
    return !fill_section(section(40, height,
                                 {cable("a", LineKind::power, 9), cable("b", LineKind::power, 9)}))
                .pairs.empty();
  };
  EXPECT_FALSE(remarked(14.9));
  EXPECT_TRUE(remarked(15.1));
}

TEST(Fill, WeightIsBroughtToTheMiddle) {
  FillProblem problem = section(
      80, 20,
      {cable("heavy", LineKind::power, 14, 0.4), cable("light", LineKind::motor, 14, 0.1),
       cable("heavy too", LineKind::power, 14, 0.4), cable("light too", LineKind::motor, 14, 0.1)});
  problem.dividers_mm = {40};
  problem.divider_thickness_mm = 2;
  const FillResult result = fill_section(problem);
  ASSERT_EQ(result.status, FillStatus::fits);
  EXPECT_NEAR(result.left_kg_per_m, 0.5, 1e-12);
  EXPECT_NEAR(result.right_kg_per_m, 0.5, 1e-12);
  EXPECT_LT(std::abs(result.moment_kgmm_per_m), 1e-9);
}

TEST(Fill, BalanceAndAreaAreThoseOfTheDrawnSection) {
  FillProblem problem =
      section(50, 20, {cable("a", LineKind::power, 10, 0.3), cable("b", LineKind::power, 8, 0.1)});
  problem.lines[0].at_mm = Vec2(15, 10);
  problem.lines[1].at_mm = Vec2(30, 10);
  const FillResult result = fill_section(problem);
  ASSERT_EQ(result.status, FillStatus::fits);
  EXPECT_NEAR(result.moment_kgmm_per_m, 0.3 * -10 + 0.1 * 5, 1e-12);
  EXPECT_NEAR(result.mass_kg_per_m, 0.4, 1e-12);
  EXPECT_NEAR(result.left_kg_per_m, 0.3, 1e-12);
  EXPECT_NEAR(result.area_percent, 100 * M_PI / 4 * (100 + 64) / 1000, 1e-9);
}

TEST(Fill, GivenPlacesAreKeptAndTheRestGoesAroundThem) {
  FillProblem problem =
      section(40, 20,
              {cable("given", LineKind::power, 10), cable("free", LineKind::power, 8),
               cable("free too", LineKind::power, 8)});
  problem.lines[0].at_mm = Vec2(20, 8);
  const FillResult result = fill_section(problem);
  ASSERT_EQ(result.status, FillStatus::fits) << result.problem;
  EXPECT_EQ(*result.lines[0].centre_mm, Vec2(20, 8));
  expect_kept(problem, result);
}

TEST(Fill, GivenPlacesThatOverlapAreSaidSo) {
  FillProblem problem =
      section(40, 20, {cable("one", LineKind::power, 10), cable("two", LineKind::power, 8)});
  problem.lines[0].at_mm = Vec2(12, 10);
  problem.lines[1].at_mm = Vec2(20, 10);
  const FillResult result = fill_section(problem);
  EXPECT_EQ(result.status, FillStatus::given_clash);
  EXPECT_EQ(result.problem, "one as placed overlaps two by 1.00 mm");
  EXPECT_NEAR(result.lines[0].clearance_mm, -1.0, 1e-12);
}

TEST(Fill, AGivenPlaceThatSticksOutOrIsTightIsSaidSo) {
  FillProblem problem = section(40, 20, {cable("one", LineKind::power, 10)});
  problem.lines[0].at_mm = Vec2(20, 4);
  EXPECT_EQ(fill_section(problem).problem, "one as placed overlaps the floor by 1.00 mm");
  problem.lines[0].at_mm = Vec2(20, 5.4);
  EXPECT_EQ(fill_section(problem).problem,
            "one as placed has 0.40 mm to the floor, 1.00 mm are wanted");
  problem.dividers_mm = {26};
  problem.lines[0].at_mm = Vec2(22, 10);
  EXPECT_EQ(fill_section(problem).problem, "one as placed overlaps a divider by 1.00 mm");
}

TEST(Fill, WhatIsMissingInWidthIsEnough) {
  FillProblem problem = section(30, 16,
                                {cable("a", LineKind::power, 12), cable("b", LineKind::power, 12),
                                 cable("c", LineKind::air, 11)});
  const FillResult narrow = fill_section(problem);
  ASSERT_EQ(narrow.status, FillStatus::does_not_fit);
  EXPECT_GT(narrow.more_width_mm, 0.0);
  problem.width_mm += narrow.more_width_mm;
  const FillResult wide = fill_section(problem);
  EXPECT_EQ(wide.status, FillStatus::fits) << wide.problem;
  problem.width_mm -= 0.05;  // and it is not more than is needed
  EXPECT_EQ(fill_section(problem).status, FillStatus::does_not_fit);
}

TEST(Fill, ALineThatIsTooHighAsksForHeight) {
  const FillResult result = fill_section(
      section(60, 20, {cable("hose", LineKind::extraction, 32), cable("a", LineKind::power, 8)}));
  ASSERT_EQ(result.status, FillStatus::does_not_fit);
  EXPECT_NEAR(result.more_height_mm, 32 * 1.4 - 20, 1e-9);
  EXPECT_FALSE(result.lines[0].centre_mm.has_value());
  EXPECT_TRUE(result.lines[1].centre_mm.has_value());  // what fits is placed all the same
  EXPECT_NE(result.problem.find("hose"), std::string::npos);
}

TEST(Fill, AConnectorPassesEitherWayRound) {
  FillProblem problem = section(40, 18, {cable("motor", LineKind::motor, 7)});
  problem.lines[0].connector_mm = Vec2(16, 30);  // lying down it is 30 x 16
  const FillResult result = fill_section(problem);
  ASSERT_EQ(result.connectors.size(), 1U);
  EXPECT_TRUE(result.connectors[0].through_empty);
  EXPECT_TRUE(result.connectors[0].through_others);
  EXPECT_EQ(result.connectors[0].lacks_mm, 0.0);
}

TEST(Fill, AConnectorMayPassOnlyBeforeTheOthersAreIn) {
  FillProblem problem =
      section(40, 19, {cable("motor", LineKind::motor, 7), cable("hose", LineKind::air, 13)});
  problem.lines[0].connector_mm = Vec2(30, 16);
  const ConnectorPass pass = fill_section(problem).connectors.at(0);
  EXPECT_TRUE(pass.through_empty);
  EXPECT_FALSE(pass.through_others);  // 30 + 13 > 40 and 16 + 13 > 19
  problem.lines[0].connector_mm = Vec2(26, 16);
  EXPECT_TRUE(fill_section(problem).connectors.at(0).through_others);
}

TEST(Fill, AConnectorThatDoesNotPassSaysWhatIsLacking) {
  FillProblem problem = section(40, 18, {cable("motor", LineKind::motor, 7)});
  problem.dividers_mm = {20};
  problem.lines[0].connector_mm = Vec2(23, 25);
  const ConnectorPass pass = fill_section(problem).connectors.at(0);
  EXPECT_FALSE(pass.through_empty);
  EXPECT_NEAR(pass.lacks_mm, 5.0, 1e-12);  // 25 in 20 and 23 in 18, or 23 in 20 and 25 in 18
}

TEST(Fill, MirroringAGivenSectionMirrorsItsFigures) {
  FillProblem problem =
      section(50, 20, {cable("a", LineKind::power, 10, 0.3), cable("b", LineKind::air, 8, 0.1)});
  problem.lines[0].at_mm = Vec2(15, 9);
  problem.lines[1].at_mm = Vec2(31, 11);
  FillProblem mirrored = problem;
  for (FillLine& line : mirrored.lines) line.at_mm->x = 50 - line.at_mm->x;
  const FillResult a = fill_section(problem);
  const FillResult b = fill_section(mirrored);
  EXPECT_NEAR(a.moment_kgmm_per_m, -b.moment_kgmm_per_m, 1e-12);
  EXPECT_NEAR(a.left_kg_per_m, b.right_kg_per_m, 1e-12);
  EXPECT_NEAR(a.lines[0].clearance_mm, b.lines[0].clearance_mm, 1e-12);
  EXPECT_EQ(a.status, b.status);
}

TEST(Fill, ManyLinesOverManyCompartmentsKeepTheirClearances) {
  FillProblem problem = section(150, 22, {});
  problem.dividers_mm = {30, 60, 90, 120};
  problem.divider_thickness_mm = 2;
  for (int i = 0; i < 14; ++i) {
    problem.lines.push_back(cable("l" + std::to_string(i),
                                  i % 3 == 0   ? LineKind::power
                                  : i % 3 == 1 ? LineKind::signal
                                               : LineKind::air,
                                  5.0 + i % 5, 0.05 + 0.01 * i));
  }
  const FillResult result = fill_section(problem);
  ASSERT_EQ(result.status, FillStatus::fits) << result.problem;
  expect_kept(problem, result);
  for (const FillPair& pair : result.pairs) EXPECT_FALSE(pair.power_by_signal);
  EXPECT_LT(std::abs(result.moment_kgmm_per_m) / result.mass_kg_per_m, 7.5);
}

TEST(Fill, RandomSectionsKeepWhatTheyPromise) {
  std::mt19937 random(7);  // its sequence is fixed by the standard
  const auto pick = [&random](double low, double high) {
    return low + (high - low) * static_cast<double>(random()) / 4294967295.0;
  };
  int fitted = 0;
  int refused = 0;
  for (int round = 0; round < 120; ++round) {
    const double width = pick(25, 70);  // drawn one by one: in a call the order is the compiler's
    const double height = pick(12, 30);
    FillProblem problem = section(width, height, {});
    const int count = 1 + static_cast<int>(random() % 7);
    for (int i = 0; i < count; ++i) {
      const auto kind = static_cast<LineKind>(random() % 6);
      const double diameter = pick(4, 13);
      const double mass = pick(0.03, 0.4);
      problem.lines.push_back(cable("l" + std::to_string(i), kind, diameter, mass));
    }
    const FillResult result = fill_section(problem);
    expect_kept(problem, result);
    if (result.status == FillStatus::fits) {
      ++fitted;
      continue;
    }
    ++refused;
    ASSERT_EQ(result.status, FillStatus::does_not_fit);
    EXPECT_GT(result.more_width_mm + result.more_height_mm, 0.0);
    problem.width_mm += result.more_width_mm;
    problem.height_mm += result.more_height_mm;
    EXPECT_EQ(fill_section(problem).status, FillStatus::fits) << round;
  }
  EXPECT_GT(fitted, 20);
  EXPECT_GT(refused, 20);
}

TEST(Fill, TheSameSectionGivesTheSameBits) {
  std::vector<FillLine> lines;
  for (int i = 0; i < 7; ++i) {
    lines.push_back(cable("c" + std::to_string(i), LineKind::signal, 6.0 + 0.3 * i));
  }
  const FillProblem problem = section(38, 21, lines);
  const FillResult a = fill_section(problem);
  const FillResult b = fill_section(problem);
  ASSERT_EQ(a.status, FillStatus::fits);
  for (std::size_t i = 0; i < 7; ++i) EXPECT_EQ(*a.lines[i].centre_mm, *b.lines[i].centre_mm);
}

TEST(Fill, AnEmptyChainFits) {
  const FillResult result = fill_section(section(40, 20, {}));
  EXPECT_EQ(result.status, FillStatus::fits);
  EXPECT_EQ(result.area_percent, 0.0);
}

TEST(Fill, RefusesNumbersThatMakeNoSense) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(fill_section(section(0, 20, {})).status, FillStatus::invalid);
  EXPECT_EQ(fill_section(section(40, nan, {})).status, FillStatus::invalid);
  EXPECT_EQ(fill_section(section(40, 20, {cable("a", LineKind::power, nan)})).status,
            FillStatus::invalid);
  FillProblem outside = section(40, 20, {});
  outside.dividers_mm = {45};
  EXPECT_EQ(fill_section(outside).status, FillStatus::invalid);
  outside.dividers_mm = {10, 10.5};
  outside.divider_thickness_mm = 2;
  EXPECT_EQ(fill_section(outside).status, FillStatus::invalid);
}

TEST(Fill, APlansChainTurnsIntoItsProblem) {
  plan::Chain chain;
  chain.inner_width = 50;
  chain.inner_height = 20;
  chain.dividers = {25};
  chain.divider_thickness = 2;
  chain.places.push_back({.line = "spindle", .at = Vec2(10, 9)});
  plan::Article article;
  article.name = "3G1.5";
  article.kind = LineKind::power;
  article.outside_diameter = 9;
  article.mass = 0.12;
  article.connector = Vec2(16, 15);
  plan::Line line;
  line.name = "spindle";
  line.article = "3G1.5";
  plan::Rules rules;
  rules.cable_clearance_percent = 15;
  const FillProblem problem = fill_problem(chain, rules, {&line}, {article});
  ASSERT_EQ(problem.lines.size(), 1U);
  EXPECT_EQ(*problem.lines[0].at_mm, Vec2(10, 9));
  EXPECT_EQ(*problem.lines[0].connector_mm, Vec2(16, 15));
  EXPECT_DOUBLE_EQ(wanted_clearance(problem, problem.lines[0]), 1.35);
  EXPECT_EQ(fill_section(problem).status, FillStatus::fits);
}

}  // namespace
}  // namespace bight::chain
