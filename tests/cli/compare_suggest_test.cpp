// `bight compare` and `bight suggest` from outside, on the demo plan.

#include "run_bight.h"

namespace bight::cli {
namespace {

namespace fs = std::filesystem;

const std::string k_demo = std::string("\"") + BIGHT_SOURCE_DIR + "/assets/demo/plan.toml\"";

TEST(CompareCommand, RanksTheOptionsOfTheDemoAndHidesNoStop) {
  const auto json = run_json("compare " + k_demo, 1);
  ASSERT_EQ(json["options"].size(), 3U);
  // Clear before act before stop.
  const auto severity = [](const nlohmann::json& option) {
    return option["verdict"] == "stop" ? 2 : option["verdict"] == "act" ? 1 : 0;
  };
  for (std::size_t i = 1; i < 3; ++i) {
    EXPECT_GE(severity(json["options"][i]), severity(json["options"][i - 1]));
  }
  EXPECT_EQ(json["options"][2]["verdict"], "stop");
  ASSERT_GE(json["options"][2]["stops"].size(), 1U);
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

TEST(SuggestCommand, WritesOptionsOfTheDemoThatTheCheckCallsClear) {
  std::string name = (fs::temp_directory_path() / "bight-suggest-XXXXXX").string();
  ASSERT_NE(::mkdtemp(name.data()), nullptr);
  const fs::path file = fs::path(name) / "plan.toml";
  fs::copy_file(std::string(BIGHT_SOURCE_DIR) + "/assets/demo/plan.toml", file);
  const auto text_of = [&file] {
    std::ifstream in(file);
    return std::string(std::istreambuf_iterator<char>(in), {});
  };
  const std::string before = text_of();
  const std::string quoted = "\"" + file.string() + "\"";

  for (const char* option : {"hung from the rafter", "plug at the head"}) {
    const std::string arguments = "suggest " + quoted + " --option \"" + std::string(option) + "\"";
    const std::string unchanged = text_of();
    run_json(arguments);
    EXPECT_EQ(text_of(), unchanged) << "without --write nothing is written";
    const auto json = run_json(arguments + " --write");
    EXPECT_EQ(json["options"][0]["status"], "clear") << json.dump(2);
    EXPECT_EQ(text_of().substr(0, unchanged.size()), unchanged) << "comments and layout are kept";
    const auto added = json["options"][0]["name"].get<std::string>();
    const auto checked = run_json("check " + quoted + " --option \"" + added + "\"");
    EXPECT_EQ(checked["options"][0]["verdict"], "clear");
  }
  EXPECT_EQ(text_of().substr(0, before.size()), before);
  fs::remove_all(name);
}

TEST(SuggestCommand, AnOptionThatIsNotThereIsBadInput) {
  const Output output = run_bight("suggest " + k_demo + " --option nowhere");
  EXPECT_EQ(output.exit_code, 2);
  EXPECT_NE(output.err.find("nowhere"), std::string::npos);
}

TEST(SuggestCommand, HelpShowsAnExample) {
  for (const char* command : {"compare --help", "suggest --help"}) {
    const Output output = run_bight(command);
    EXPECT_EQ(output.exit_code, 0);
    EXPECT_NE(output.out.find("Example: bight"), std::string::npos);
  }
}

}  // namespace
}  // namespace bight::cli
