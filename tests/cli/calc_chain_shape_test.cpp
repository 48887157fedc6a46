// The simulated drag chain of the bench-top calculator against statics of one-way joints (derived:
// pull w R, floor force w l/2 + pi R w, no sag) and against the arc that a sagging run is.

#include <cmath>
#include <numbers>

#include "run_bight.h"

namespace bight::cli {
namespace {

TEST(CalcChainShape, ForcesAreThoseOfStatics) {
  struct Case {
    const char* arguments;
    double radius, run;
  };
  // Longest runs worked out by hand: (L - pi R)/2 + (S/2 + x_F)/2 from x_b - x_M.
  for (const Case& c : {Case{"--travel 800 --radius 60 --pitch 20", 60, 405.75222},
                        Case{"--travel 1200 --radius 75 --pitch 25 --fixed 150", 75, 757.19028},
                        Case{"--travel 500 --radius 38 --pitch 15 --fixed -250", 38, 255.30974}}) {
    const auto json = run_json(std::string("calc chain ") + c.arguments + " --mass 1.7");
    const double w = 1.7 * 9.80665 / 1000.0;
    EXPECT_EQ(json["shape"], "balanced");
    EXPECT_NEAR(json["pull_N"].get<double>(), w * c.radius, 1e-9);
    EXPECT_NEAR(json["floor_force_N"].get<double>(),
                w * (0.5 * c.run + std::numbers::pi * c.radius), 1e-7);
    EXPECT_NEAR(json["sag_mm"].get<double>(), 0.0, 1e-9);
    EXPECT_GT(json["poses"].get<int>(), 2);
  }
}

TEST(CalcChainShape, ABackRadiusLetsItSag) {
  const auto json =
      run_json("calc chain --travel 800 --radius 60 --pitch 20 --mass 1.7 --back-radius 20000");
  EXPECT_NEAR(json["sag_mm"].get<double>(), 405.75 * 405.75 / (8 * 20000.0), 0.05);
}

TEST(CalcChainShape, TooShortAChainHasNoForces) {
  const auto json =
      run_json("calc chain --travel 800 --radius 60 --pitch 20 --links 25 --mass 1", 1);
  EXPECT_NE(json["shape"], "balanced");
  EXPECT_TRUE(json["pull_N"].is_null());
}

TEST(CalcChainShape, WithoutAMassNothingIsSimulated) {
  const auto json = run_json("calc chain --travel 800 --radius 60 --pitch 20");
  EXPECT_FALSE(json.contains("pull_N"));
  EXPECT_EQ(run_bight("calc chain --travel 800 --radius 60 --pitch 20 --mass 0").exit_code, 2);
  EXPECT_EQ(run_bight("calc chain --travel 800 --radius 60 --pitch 20 --back-radius 9").exit_code,
            2);
}

}  // namespace
}  // namespace bight::cli
