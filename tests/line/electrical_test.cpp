#include "line/electrical.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace bight::line {
namespace {

using System = plan::Circuit::System;

TEST(Electrical, ResistancesAreThoseOfIec60228Class5) {
  // IEC 60228:2004, Table 3, ohm/km at 20 deg C.
  EXPECT_EQ(class_5_resistance(0.5, false), 39.0);
  EXPECT_EQ(class_5_resistance(0.75, false), 26.0);
  EXPECT_EQ(class_5_resistance(1.0, false), 19.5);
  EXPECT_EQ(class_5_resistance(1.5, false), 13.3);
  EXPECT_EQ(class_5_resistance(2.5, false), 7.98);
  EXPECT_EQ(class_5_resistance(4.0, false), 4.95);
  EXPECT_EQ(class_5_resistance(6.0, false), 3.30);
  EXPECT_EQ(class_5_resistance(10.0, false), 1.91);
  EXPECT_EQ(class_5_resistance(16.0, false), 1.21);
  EXPECT_EQ(class_5_resistance(25.0, false), 0.780);
  EXPECT_EQ(class_5_resistance(35.0, false), 0.554);
  EXPECT_EQ(class_5_resistance(0.5, true), 40.1);
  EXPECT_EQ(class_5_resistance(0.75, true), 26.7);
  EXPECT_EQ(class_5_resistance(1.0, true), 20.0);
  EXPECT_EQ(class_5_resistance(1.5, true), 13.7);
  EXPECT_EQ(class_5_resistance(2.5, true), 8.21);
  EXPECT_EQ(class_5_resistance(4.0, true), 5.09);
  EXPECT_EQ(class_5_resistance(6.0, true), 3.39);
  EXPECT_EQ(class_5_resistance(10.0, true), 1.95);
  EXPECT_EQ(class_5_resistance(16.0, true), 1.24);
  EXPECT_EQ(class_5_resistance(25.0, true), 0.795);
  EXPECT_EQ(class_5_resistance(35.0, true), 0.565);
}

TEST(Electrical, TheTableIsPlausibleCopper) {
  // Resistivity of annealed copper 0.01724 ohm mm^2/m (IEC 60028) is a lower bound, 20 % more the
  // usual allowance for stranding and lay.
  for (const Class5Row& row : class_5_table()) {
    const double resistivity = row.plain_ohm_per_km * row.area_mm2 / 1000.0;
    EXPECT_GT(resistivity, 0.01724);
    EXPECT_LT(resistivity, 0.01724 * 1.2);
    EXPECT_GT(row.metal_coated_ohm_per_km, row.plain_ohm_per_km);
  }
}

struct DropCase {
  const char* name;
  DropProblem problem;
  double r_mohm_per_m, drop_V, drop_percent, loss_W;
  double r_digit;  ///< half of the last printed digit of r
};

TEST(Electrical, DropsAndLossesOfWorkedExamples) {
  // Formulas of IEC 60364-5-52, Annex G; figures computed by hand in arbitrary precision.
  const auto problem = [](System system, double voltage, double current, double length, double area,
                          double temperature, double power_factor, double x) {
    return DropProblem{.system = system,
                       .voltage_V = voltage,
                       .current_A = current,
                       .length_m = length,
                       .area_mm2 = area,
                       .resistance_20_mohm_per_m = {},
                       .temperature_C = temperature,
                       .power_factor = power_factor,
                       .reactance_mohm_per_m = x};
  };
  const std::vector<DropCase> cases{
      {"VD1", problem(System::single_phase, 230, 9.6, 12, 1.5, 20, 1, 0), 13.3, 3.064320, 1.33231,
       29.4175, 5e-6},
      {"VD2", problem(System::single_phase, 230, 9.6, 12, 1.5, 70, 1, 0), 15.91345, 3.666459,
       1.59411, 35.1980, 5e-6},
      {"VD3", problem(System::single_phase, 230, 9.6, 12, 1.5, 70, 0.8, 0.08), 15.91345, 2.944226,
       1.28010, 35.1980, 5e-6},
      {"VD4", problem(System::dc, 24, 2, 8, 0.5, 20, 1, 0), 39.0, 1.248000, 5.20000, 2.4960, 5e-6},
      {"VD5", problem(System::three_phase, 400, 7.5, 15, 2.5, 60, 0.85, 0.08), 9.234456, 1.537690,
       0.38442, 23.3747, 5e-7},
      {"VD6", problem(System::dc, 48, 5.5, 4.2, 1, 40, 1, 0), 21.0327, 0.971711, 2.02440, 5.3444,
       5e-5}};
  for (const DropCase& c : cases) {
    SCOPED_TRACE(c.name);
    const DropResult result = voltage_drop(c.problem);
    ASSERT_EQ(result.status, DropStatus::ok) << result.problem;
    EXPECT_NEAR(result.resistance_mohm_per_m, c.r_mohm_per_m, c.r_digit);
    EXPECT_NEAR(result.drop_V, c.drop_V, 5.01e-7);
    EXPECT_NEAR(result.drop_percent, c.drop_percent, 5.01e-6);
    EXPECT_NEAR(result.loss_W, c.loss_W, 5.01e-5);
  }
}

TEST(Electrical, TheLoopIsMeasuredColdThereAndBack) {
  // 12 m of 1.5 mm^2: 2 x 12 m x 13.3 mohm/m = 0.3192 ohm, however warm it runs in use.
  const DropResult result = voltage_drop({.voltage_V = 230,
                                          .current_A = 9.6,
                                          .length_m = 12,
                                          .area_mm2 = 1.5,
                                          .resistance_20_mohm_per_m = {},
                                          .temperature_C = 70});
  EXPECT_NEAR(result.loop_ohm, 0.3192, 1e-12);
  const DropResult three = voltage_drop({.system = System::three_phase,
                                         .voltage_V = 400,
                                         .current_A = 9.6,
                                         .length_m = 12,
                                         .area_mm2 = 1.5,
                                         .resistance_20_mohm_per_m = {}});
  EXPECT_NEAR(three.loop_ohm, 0.3192, 1e-12);
}

TEST(Electrical, LossIsDropTimesCurrentWithoutReactance) {
  for (const System system : {System::dc, System::single_phase, System::three_phase}) {
    const DropResult r = voltage_drop({.system = system,
                                       .voltage_V = 100,
                                       .current_A = 7,
                                       .length_m = 9,
                                       .area_mm2 = 4,
                                       .resistance_20_mohm_per_m = {}});
    const double phases = system == System::three_phase ? std::sqrt(3.0) : 1.0;
    EXPECT_NEAR(r.loss_W, phases * r.drop_V * 7, 1e-9);
  }
}

TEST(Electrical, AnAreaOutsideTheTableIsSaidSo) {
  DropProblem problem{.voltage_V = 24,
                      .current_A = 1,
                      .length_m = 5,
                      .area_mm2 = 0.34,
                      .resistance_20_mohm_per_m = {}};
  const DropResult unknown = voltage_drop(problem);
  EXPECT_EQ(unknown.status, DropStatus::unknown_area);
  EXPECT_NE(unknown.problem.find("0.34"), std::string::npos);
  EXPECT_NE(unknown.problem.find("35 mm^2"), std::string::npos);
  problem.resistance_20_mohm_per_m = 57.0;
  problem.temperature_C = 20.0;
  EXPECT_NEAR(voltage_drop(problem).drop_V, 2 * 1 * 5 * 0.057, 1e-12);
}

TEST(Electrical, RefusesNumbersThatMakeNoSense) {
  const DropProblem good{.voltage_V = 24,
                         .current_A = 1,
                         .length_m = 5,
                         .area_mm2 = 1,
                         .resistance_20_mohm_per_m = {}};
  ASSERT_EQ(voltage_drop(good).status, DropStatus::ok);
  const double nan = std::numeric_limits<double>::quiet_NaN();
  std::vector<DropProblem> bad(7, good);
  bad[0].voltage_V = 0;
  bad[1].current_A = nan;
  bad[2].length_m = -1;
  bad[3].power_factor = 1.2;
  bad[4].temperature_C = nan;
  bad[5].reactance_mohm_per_m = -1;
  bad[6].resistance_20_mohm_per_m = 0;
  for (const DropProblem& problem : bad) {
    EXPECT_EQ(voltage_drop(problem).status, DropStatus::invalid);
    EXPECT_FALSE(voltage_drop(problem).problem.empty());
  }
}

TEST(Electrical, APlansLineTurnsIntoItsProblem) {
  plan::Circuit circuit;
  circuit.system = System::dc;
  circuit.voltage = 24;
  circuit.current = 2;
  circuit.temperature = 20;
  plan::Article article;
  article.core_area = 0.5;
  EXPECT_NEAR(voltage_drop(drop_problem(circuit, article, 8000)).drop_V, 1.248, 1e-12);  // VD4
}

}  // namespace
}  // namespace bight::line
