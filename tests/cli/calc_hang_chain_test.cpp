// The calculators of hanging lines and chains at the edges of what they take.

#include <string>
#include <vector>

#include "run_bight.h"

namespace bight::cli {
namespace {

nlohmann::json json_of(const std::string& arguments, int exit_code = 0) {
  const Output run = run_bight(arguments + " --json");
  EXPECT_EQ(run.exit_code, exit_code) << run.err;
  return nlohmann::json::parse(run.out, nullptr, false);
}

// Two strands: the lowest point lies at (h - L) / 2 from the start, so the line sags below its
// lower end by (L - |h|) / 2 (elementary).
TEST(CalcHangUpright, SagsBelowItsLowerEnd) {
  EXPECT_NEAR(json_of("calc hang --dx 0 --dz 0 --length 1000 --mass 0.1")["sag_mm"], 500.0, 1e-6);
  EXPECT_NEAR(json_of("calc hang --dx 0 --dz 300 --length 1000 --mass 0.1")["sag_mm"], 350.0, 1e-6);
  EXPECT_NEAR(json_of("calc hang --dx 0 --dz=-300 --length 1000 --mass 0.1")["sag_mm"], 350.0,
              1e-6);
  const auto lowest = json_of("calc hang --dx 0 --dz=-300 --length 1000 --mass 0.1")["lowest_mm"];
  EXPECT_NEAR(lowest[1], -650.0, 1e-6);
  EXPECT_NE(run_bight("calc hang --dx 0 --dz 300 --length 1000 --mass 0.1")
                .out.find("sag below the lower end      350.0 mm"),
            std::string::npos);
}

// The sag of a nearly upright line tends to that of the upright one; measured from the chord it
// would grow beyond all bounds (its slope does).
TEST(CalcHangUpright, IsTheLimitOfNearlyUprightLines) {
  const auto near = json_of("calc hang --dx 0.001 --dz 0 --length 1000 --mass 0.1");
  EXPECT_NEAR(near["sag_mm"], 500.0, 0.01);
}

struct CatenaryCase {
  const char* name;
  double dx, dz, length, mass, horizontal, tension_start, tension_end, lowest;
};

// Catenaries in 40-digit arithmetic (12 digits agree with an integration of the string's equation).
TEST(CalcHangCatenary, EachCaseOfHighPrecisionArithmeticToAThousandth) {
  const std::vector<CatenaryCase> cases{
      {"CAT1", 800, 0, 1000, 0.1, 0.33166275, 0.59196802, 0.59196802, -265.43751},
      {"CAT2", 800, 0, 810, 0.1, 1.43503082, 1.48897849, 1.48897849, -55.01131},
      {"CAT3", 300, 0, 1000, 0.085, 0.04171524, 0.41886504, 0.41886504, -452.45383},
      {"CAT4", 600, 250, 900, 0.12, 0.23015257, 0.43413341, 0.72833291, -173.33548},
      {"CAT5", 500, -400, 700, 0.06, 0.15898486, 0.40042075, 0.16506115, -410.32682},
      {"CAT6", 400, 600, 740, 0.2, 0.56324767, 0.61686790, 1.79366590, 0.0},
      {"CAT7", 50, 0, 1200, 0.1, 0.00438371, 0.58841533, 0.58841533, -595.54652}};
  for (const CatenaryCase& c : cases) {
    const auto out =
        json_of("calc hang --dx " + std::to_string(c.dx) + " --dz=" + std::to_string(c.dz) +
                " --length " + std::to_string(c.length) + " --mass " + std::to_string(c.mass));
    EXPECT_NEAR(out["horizontal_N"], c.horizontal, 1e-3 * c.horizontal) << c.name;
    EXPECT_NEAR(out["tension_start_N"], c.tension_start, 1e-3 * c.tension_start) << c.name;
    EXPECT_NEAR(out["tension_end_N"], c.tension_end, 1e-3 * c.tension_end) << c.name;
    EXPECT_NEAR(out["lowest_mm"][1], c.lowest, 1e-3 * c.length) << c.name;
  }
}

TEST(CalcChainInput, SaysWhatIsWrong) {
  struct Wrong {
    const char* arguments;
    const char* said;
  };
  for (const Wrong& w :
       {Wrong{"--travel 0 --radius 60 --pitch 20", "--travel must be more than 0"},
        Wrong{"--travel=-800 --radius 60 --pitch 20", "--travel"},
        Wrong{"--travel 800 --radius 0 --pitch 20", "--radius must be more than 0"},
        Wrong{"--travel 800 --radius=-60 --pitch 20", "--radius"},
        Wrong{"--travel 800 --radius 60 --pitch 0", "--pitch must be more than 0"},
        Wrong{"--travel 800 --radius 60 --pitch nan", "--pitch"},
        Wrong{"--travel 800 --radius 60 --pitch 120", "less than twice the bend radius"},
        Wrong{"--travel 800 --radius 60 --pitch 20 --links 0", "--links"},
        Wrong{"--travel 800 --radius 60 --pitch 20 --room=-1", "--room"},
        Wrong{"--travel 800 --radius 60 --pitch 20 --end-straight=-1", "--end-straight"},
        Wrong{"--travel 800 --radius 60 --pitch 20 --outer-height 120", "--outer-height"}}) {
    const Output run = run_bight(std::string("calc chain ") + w.arguments);
    EXPECT_EQ(run.exit_code, 2) << w.arguments;
    EXPECT_NE(run.err.find(w.said), std::string::npos) << w.arguments << ": " << run.err;
    EXPECT_EQ(run.out, "") << w.arguments;
  }
}

TEST(CalcChainRoom, IsBeyondTheFartherBracket) {
  EXPECT_NE(run_bight("calc chain --travel 800 --radius 60 --pitch 20")
                .out.find("beyond the moving bracket at the end of its travel"),
            std::string::npos);
  EXPECT_NE(run_bight("calc chain --travel 800 --radius 60 --pitch 20 --fixed 600")
                .out.find("beyond the fixed bracket, the farther one"),
            std::string::npos);
}

}  // namespace
}  // namespace bight::cli
