// `bight compare` and `bight suggest` from outside, on the demo plan.

#include "run_bight.h"

namespace bight::cli {
namespace {

namespace fs = std::filesystem;

const std::string k_demo = std::string("\"") + BIGHT_SOURCE_DIR + "/assets/demo/plan.toml\"";

TEST(CompareCommand, RanksTheOptionsOfTheDemoAndHidesNoStop) {
  const auto json = run_json("compare " + k_demo, 1);
  ASSERT_EQ(json["options"].size(), 3U);
  EXPECT_EQ(json["options"][0]["verdict"], "clear");
  EXPECT_EQ(json["options"][1]["verdict"], "act");
  EXPECT_EQ(json["options"][2]["verdict"], "stop");
  EXPECT_EQ(json["options"][2]["stops"].size(), 1U);
  EXPECT_FALSE(json["rule"].get<std::string>().empty());
  const Output text = run_bight("compare " + k_demo);
  EXPECT_EQ(text.exit_code, 1);
  EXPECT_NE(text.out.find(json["options"][2]["stops"][0].get<std::string>().substr(0, 40)),
            std::string::npos)
      << text.out;
}

TEST(CompareCommand, AgreesWithTheCheckOnPricesAndVerdicts) {
  const auto compared = run_json("compare " + k_demo, 1);
  const auto checked = run_json("check " + k_demo, 1);
  for (const auto& option : compared["options"]) {
    for (const auto& other : checked["options"]) {
      if (option["name"] != other["name"]) continue;
      EXPECT_EQ(option["verdict"], other["verdict"]);
      double price = 0.0;
      for (const auto& line : other["lines"]) price += line["price"].get<double>();
      EXPECT_NEAR(option["price"].get<double>(), price, 1e-9);
    }
  }
}

}  // namespace
}  // namespace bight::cli
