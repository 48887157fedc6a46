// `bight hooks` from outside, and the demo of overhead supports.

#include <cmath>

#include "run_bight.h"

namespace bight::cli {
namespace {

const std::string k_demo = std::string("\"") + BIGHT_SOURCE_DIR + "/assets/demo/plan.toml\"";
const std::string k_overhead =
    std::string("\"") + BIGHT_SOURCE_DIR + "/assets/demo/overhead.toml\"";

TEST(HooksCommand, DrawsTheMapWithItsScaleAndTellsTheBestPlace) {
  const Output text = run_bight("hooks " + k_demo + " --option \"hung from the rafter\"");
  EXPECT_EQ(text.exit_code, 0) << text.err;
  for (const char* wanted : {"rafter hook", "a letter is", "now ", "best ", "# a length works"}) {
    EXPECT_NE(text.out.find(wanted), std::string::npos) << wanted << "\n" << text.out;
  }
}

TEST(HooksCommand, GivesEveryPlaceAndCellAsJson) {
  const auto json = run_json("hooks " + k_demo + " --option \"hung from the rafter\"");
  const auto& maps = json["options"][0]["maps"];
  ASSERT_GE(maps.size(), 1U);
  for (const auto& map : maps) {
    const std::size_t places = map["places"].size();
    ASSERT_GT(places, 3U);
    for (const auto& cell : map["cells"]) {
      for (const auto& corner : cell["corners"]) EXPECT_LT(corner.get<std::size_t>(), places);
    }
    ASSERT_FALSE(map["best"].is_null());
    EXPECT_TRUE(map["best"]["works"].get<bool>());
    const double length = map["best"]["length_mm"].get<double>();
    EXPECT_GE(length, map["best"]["min_mm"].get<double>());
    EXPECT_LE(length, map["best"]["max_mm"].get<double>());
  }
}

TEST(HooksCommand, RefusesARunThatDoesNotExist) {
  const Output text = run_bight("hooks " + k_demo + " --run nowhere");
  EXPECT_EQ(text.exit_code, 2);
  EXPECT_NE(text.err.find("nowhere"), std::string::npos) << text.err;
}

TEST(HooksCommand, ComparesTheOverheadSupportsOfTheSecondDemo) {
  const auto json = run_json("check " + k_overhead);
  for (const auto& option : json["options"]) {
    for (const auto& support : option["supports"]) {
      EXPECT_TRUE(std::isfinite(support["load_N"].get<double>())) << support;
      if (support["low"].is_null()) continue;
      EXPECT_LE(support["low"].get<double>(), support["high"].get<double>());
      EXPECT_LT(support["residual_N"].get<double>(), 1e-4) << support;
    }
  }
}

}  // namespace
}  // namespace bight::cli
