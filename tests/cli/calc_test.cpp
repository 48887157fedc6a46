// The bench-top calculators against published examples and values that independent methods agree
// on.

#include <cmath>
#include <cstddef>
#include <numbers>

#include "run_bight.h"

namespace bight::cli {
namespace {

/// Half a unit of the last printed digit.
void expect_digits(const nlohmann::json& value, double expected, int decimals) {
  ASSERT_TRUE(value.is_number());
  EXPECT_NEAR(value.get<double>(), expected, 0.51 * std::pow(10.0, -decimals));
}

struct HangingLine {
  const char* arguments;
  double sag, lowest_x, lowest_z, horizontal_N, start_N, end_N, slope_start, slope_end;
};

// Catenary by 40-digit arithmetic, checked by integrating the equation of the string (agreement
// 5e-12 mm).
TEST(CalcHang, AgreesWithHighPrecisionArithmetic) {
  const HangingLine lines[] = {
      {"--dx 800 --dz 0 --length 1000 --mass 0.1", 265.43751, 400.0, -265.43751, 0.33166275,
       0.59196802, 0.59196802, -55.92543, 55.92543},
      {"--dx 800 --dz 0 --length 810 --mass 0.1", 55.01131, 400.0, -55.01131, 1.43503082,
       1.48897849, 1.48897849, -15.47034, 15.47034},
      {"--dx 300 --dz 0 --length 1000 --mass 0.085", 452.45383, 150.0, -452.45383, 0.04171524,
       0.41886504, 0.41886504, -84.28437, 84.28437},
      {"--dx 600 --dz 250 --length 900 --mass 0.12", 291.83201, 244.20777, -173.33548, 0.23015257,
       0.43413341, 0.72833291, -57.98492, 71.57886},
      {"--dx 500 --dz -400 --length 700 --mass 0.06", 152.44925, 425.53252, -410.32682, 0.15898486,
       0.40042075, 0.16506115, -66.60645, 15.59466},
      {"--dx 400 --dz 600 --length 740 --mass 0.2", 124.96044, 0.0, 0.0, 0.56324767, 0.61686790,
       1.79366590, 24.06596, 71.69831},
      {"--dx 50 --dz 0 --length 1200 --mass 0.1", 595.54652, 25.0, -595.54652, 0.00438371,
       0.58841533, 0.58841533, -89.57314, 89.57314},
  };
  for (const HangingLine& line : lines) {
    const auto json = run_json(std::string("calc hang ") + line.arguments);
    EXPECT_EQ(json["status"], "hangs");
    expect_digits(json["sag_mm"], line.sag, 5);
    expect_digits(json["lowest_mm"][0], line.lowest_x, 5);
    expect_digits(json["lowest_mm"][1], line.lowest_z, 5);
    expect_digits(json["horizontal_N"], line.horizontal_N, 8);
    expect_digits(json["tension_start_N"], line.start_N, 8);
    expect_digits(json["tension_end_N"], line.end_N, 8);
    expect_digits(json["slope_start_deg"], line.slope_start, 5);
    expect_digits(json["slope_end_deg"], line.slope_end, 5);
  }
}

// Beer and Johnston, Vector Mechanics for Engineers: Statics, problem 7.136 (answer from memory):
// wire of 90 m, span 60 m, sag 30.16 m; 56.571 kg pull with 300 N (g = 9.81).
TEST(CalcHang, AgreesWithATextbookExample) {
  const auto json = run_json("calc hang --dx 60000 --dz 0 --length 90000 --mass " +
                             std::to_string(56.571 / 90.0));
  EXPECT_NEAR(json["sag_mm"].get<double>(), 30158.0, 0.5);
  EXPECT_NEAR(json["tension_end_N"].get<double>(), 300.0 * 9.80665 / 9.81, 0.005);
}

TEST(CalcHang, TooShortALineIsRefusedWithTheMissingLength) {
  const auto json = run_json("calc hang --dx 300 --dz 400 --length 480 --mass 0.1", 1);
  EXPECT_EQ(json["status"], "too short");
  EXPECT_NEAR(json["short_by_mm"].get<double>(), 20.0, 1e-9);
}

TEST(CalcHang, UnusableInputHasExitCodeTwo) {
  EXPECT_EQ(run_bight("calc hang --dx 300 --dz 0 --length 480 --mass -1").exit_code, 2);
  EXPECT_EQ(run_bight("calc hang --dx 300").exit_code, 2);
  EXPECT_EQ(run_bight("calc hang --dx nan --dz 0 --length 480 --mass 0.1").exit_code, 2);
}

struct Loop {
  const char* arguments;
  int links;
  double shortest, bend_low, bend_high, moving_run, fixed_run, front_beyond_moving;
};

// Derived; common practice: L = travel / 2 + |offset| + pi R, the bend moves half as far as the
// bracket.
TEST(CalcChain, AgreesWithTheRollingLoop) {
  const Loop loops[] = {
      {"--travel 800 --radius 60 --pitch 20", 30, 588.49556, 5.75222, 405.75222, 405.75222,
       405.75222, 65.75222},
      {"--travel 1200 --radius 75 --pitch 25 --fixed 150", 40, 985.61945, 157.19028, 757.19028,
       757.19028, 607.19028, 232.19028},
      {"--travel 500 --radius 38 --pitch 15 --fixed -250", 42, 619.38052, 5.30974, 255.30974,
       255.30974, 505.30974, 43.30974},
  };
  for (const Loop& loop : loops) {
    const auto json = run_json(std::string("calc chain ") + loop.arguments);
    EXPECT_EQ(json["links"], loop.links);
    expect_digits(json["shortest_mm"], loop.shortest, 5);
    expect_digits(json["at_low"]["bend_mm"], loop.bend_low, 5);
    expect_digits(json["at_high"]["bend_mm"], loop.bend_high, 5);
    expect_digits(json["longest_straight_mm"], loop.moving_run, 5);
    expect_digits(json["longest_fixed_run_mm"], loop.fixed_run, 5);
    expect_digits(json["loop_room_mm"], loop.front_beyond_moving, 5);
  }
}

TEST(CalcChain, TooFewLinksAreRefused) {
  EXPECT_EQ(run_json("calc chain --travel 800 --radius 60 --pitch 20 --links 29", 1)["status"],
            "too short");
}

// Smallest circles around equal circles: Kravitz 1967; Graham et al. 1998 (7: 3 diameters,
// 5: 2.701301617).
TEST(CalcBundle, AgreesWithPublishedPackings) {
  expect_digits(run_json("calc bundle 1 1 1 1 1 1 1")["diameter_mm"], 3.0, 9);
  expect_digits(run_json("calc bundle 1 1 1 1 1")["diameter_mm"], 2.701301617, 9);
  expect_digits(run_json("calc bundle 8 6")["diameter_mm"], 14.0, 6);
  // Best found by independent random searches.
  expect_digits(run_json("calc bundle 10 8 6")["diameter_mm"], 18.002795, 6);
  expect_digits(run_json("calc bundle 10 8 6 6 5")["diameter_mm"], 18.908484, 6);
}

TEST(CalcBundle, CentresKeepTheCirclesApart) {
  const auto json = run_json("calc bundle 12 8 8 6 6 5 5");
  const double d[] = {12, 8, 8, 6, 6, 5, 5};
  for (std::size_t i = 0; i < 7; ++i) {
    for (std::size_t k = i + 1; k < 7; ++k) {
      const double dx =
          json["centres_mm"][i][0].get<double>() - json["centres_mm"][k][0].get<double>();
      const double dy =
          json["centres_mm"][i][1].get<double>() - json["centres_mm"][k][1].get<double>();
      EXPECT_GE(std::hypot(dx, dy), 0.5 * (d[i] + d[k]) - 1e-8);
    }
  }
}

struct Drop {
  const char* arguments;
  double drop_V, drop_percent, loss_W;
};

// 2 I L (r cos phi + x sin phi), three phases sqrt 3; IEC 60228:2004 Table 3 class 5, IEC 60028
// coefficient.
TEST(CalcDrop, AgreesWithTheFormulaWorkedByHand) {
  const Drop drops[] = {
      {"--voltage 230 --current 9.6 --length 12000 --area 1.5 --temperature 20 --reactance 0",
       3.064320, 1.33231, 29.4175},
      {"--voltage 230 --current 9.6 --length 12000 --area 1.5 --temperature 70 --reactance 0",
       3.666459, 1.59411, 35.1980},
      {"--voltage 230 --current 9.6 --length 12000 --area 1.5 --temperature 70 --power-factor 0.8",
       2.944226, 1.28010, 35.1980},
      {"--system dc --voltage 24 --current 2 --length 8000 --area 0.5 --temperature 20", 1.248000,
       5.20000, 2.4960},
      {"--system \"three phase\" --voltage 400 --current 7.5 --length 15000 --area 2.5 "
       "--temperature 60 --power-factor 0.85",
       1.537690, 0.38442, 23.3747},
      {"--system dc --voltage 48 --current 5.5 --length 4200 --area 1 --temperature 40", 0.971711,
       2.02440, 5.3444},
  };
  for (const Drop& drop : drops) {
    const auto json = run_json(std::string("calc drop ") + drop.arguments);
    expect_digits(json["drop_V"], drop.drop_V, 6);
    expect_digits(json["drop_percent"], drop.drop_percent, 5);
    expect_digits(json["loss_W"], drop.loss_W, 4);
  }
  // Loop resistance at 20 deg C: 2 x 13.3 ohm/km x 12 m.
  expect_digits(run_json(std::string("calc drop ") + drops[1].arguments)["loop_ohm"], 0.3192, 6);
}

TEST(CalcDrop, AnAreaOutsideTheTableIsSaid) {
  const Output output = run_bight("calc drop --voltage 24 --current 1 --length 1000 --area 0.6");
  EXPECT_EQ(output.exit_code, 2);
  EXPECT_NE(output.err.find("0.6"), std::string::npos) << output.err;
}

}  // namespace
}  // namespace bight::cli
