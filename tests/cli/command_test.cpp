// Commands from outside: exit codes, streams, and that text and JSON tell the same.

#include <algorithm>
#include <set>

#include "run_bight.h"

namespace bight::cli {
namespace {

namespace fs = std::filesystem;

class Command : public testing::Test {
 protected:
  void SetUp() override {
    std::string name = (fs::temp_directory_path() / "bight-command-XXXXXX").string();
    ASSERT_NE(::mkdtemp(name.data()), nullptr);
    folder_ = name;
  }
  void TearDown() override { fs::remove_all(folder_); }
  std::string file(const char* name) const { return "\"" + (folder_ / name).string() + "\""; }
  fs::path folder_;
};

TEST_F(Command, HelpOfEveryCommandShowsAnExample) {
  for (const char* command : {"", "check", "reach", "lengths", "new", "keys", "calc", "calc hang",
                              "calc chain", "calc bundle", "calc drop"}) {
    const Output output = run_bight(std::string(command) + " --help");
    EXPECT_EQ(output.exit_code, 0) << command;
    EXPECT_NE(output.out.find("Example"), std::string::npos) << command;
    EXPECT_NE(output.out.find("bight " + std::string(command)), std::string::npos) << command;
  }
}

TEST_F(Command, UnknownCommandsAndMissingFilesHaveExitCodeTwoAndASentence) {
  EXPECT_EQ(run_bight("chekc").exit_code, 2);
  EXPECT_EQ(run_bight("").exit_code, 2);
  const Output output = run_bight("check " + file("none.toml"));
  EXPECT_EQ(output.exit_code, 2);
  EXPECT_NE(output.err.find("none.toml"), std::string::npos);
  EXPECT_TRUE(output.out.empty());
}

TEST_F(Command, ANewPlanIsCheckedWithoutAStop) {
  ASSERT_EQ(run_bight("new " + file("a.toml") + " --travel 900 600 100 --bed 1100 900").exit_code,
            0);
  EXPECT_EQ(run_bight("check " + file("a.toml")).exit_code, 0);
  // It never writes over a plan unless told.
  EXPECT_EQ(run_bight("new " + file("a.toml")).exit_code, 2);
  EXPECT_EQ(run_bight("new " + file("a.toml") + " --replace").exit_code, 0);
}

TEST_F(Command, EveryErrorOfAPlanComesInOneGo) {
  std::ofstream(folder_ / "bad.toml")
      << "format = 1\nname = \"bad\"\n[[part]]\nname = \"p\"\nshap = \"box\"\n"
         "[[joint]]\nname = \"X\"\ntravel = [10, 0]\n";
  const Output output = run_bight("check " + file("bad.toml"));
  EXPECT_EQ(output.exit_code, 2);
  EXPECT_NE(output.err.find("bad.toml:5:"), std::string::npos) << output.err;
  EXPECT_NE(output.err.find("bad.toml:8:"), std::string::npos) << output.err;
  EXPECT_NE(output.err.find("shape"), std::string::npos) << output.err;
}

class Demo : public Command {
 protected:
  const std::string plan_ = std::string("\"") + BIGHT_SOURCE_DIR + "/assets/demo/plan.toml\"";
};

TEST_F(Demo, ThreeOptionsHaveThreeDifferentVerdicts) {
  const auto json = run_json("check " + plan_, 1);
  std::set<std::string> verdicts;
  for (const auto& option : json["options"]) verdicts.insert(option["verdict"]);
  EXPECT_GE(json["options"].size(), 3U);
  EXPECT_EQ(verdicts, (std::set<std::string>{"clear", "act", "stop"}));
}

TEST_F(Demo, EveryFindingThatAsksForSomethingAdvisesANumber) {
  const auto json = run_json("check " + plan_, 1);
  int findings = 0;
  for (const auto& option : json["options"]) {
    for (const auto& finding : option["findings"]) {
      if (finding["severity"] == "note") continue;
      ++findings;
      const std::string advice = finding["advice"];
      EXPECT_NE(advice.find_first_of("0123456789"), std::string::npos) << advice;
      EXPECT_FALSE(finding["what"].get<std::string>().empty());
      EXPECT_TRUE(finding["value"].is_number() || finding["value"].is_null());
    }
  }
  EXPECT_GE(findings, 2);
}

TEST_F(Demo, TextTellsTheSameVerdictsAndTheCautions) {
  const Output text = run_bight("check " + plan_);
  EXPECT_EQ(text.exit_code, 1);
  EXPECT_NE(text.out.find("Cautions"), std::string::npos);
  EXPECT_TRUE(text.err.empty()) << text.err;
  const auto json = run_json("check " + plan_, 1);
  for (const auto& option : json["options"]) {
    const std::string heading =
        option["name"].get<std::string>() + ": " + option["verdict"].get<std::string>() + " (";
    EXPECT_NE(text.out.find(heading), std::string::npos) << heading;
  }
}

TEST_F(Demo, TheReadmeShowsWhatIsPrinted) {
  std::ifstream file(std::string(BIGHT_SOURCE_DIR) + "/README.md");
  const std::string readme(std::istreambuf_iterator<char>(file), {});
  const std::string out = run_bight("check " + plan_ + " --brief").out;
  // From the first option to the cautions, which the page states in its own place.
  const std::size_t first = out.find("\n\n");
  const std::size_t last = out.find("\nCautions");
  ASSERT_NE(first, std::string::npos);
  ASSERT_NE(last, std::string::npos);
  EXPECT_NE(readme.find("```" + out.substr(first + 1, last - first - 1) + "```"), std::string::npos)
      << out;
}

TEST_F(Demo, TheNumberOfThreadsDoesNotChangeAByte) {
  const Output one = run_bight("check " + plan_ + " --json --threads 1");
  EXPECT_EQ(run_bight("check " + plan_ + " --json --threads 2").out, one.out);
  EXPECT_EQ(run_bight("check " + plan_ + " --json --threads 7").out, one.out);
}

TEST_F(Demo, AnOptionThatIsNotThereIsNamedWithThoseThatAre) {
  const Output output = run_bight("check " + plan_ + " --option nonesuch");
  EXPECT_EQ(output.exit_code, 2);
  EXPECT_NE(output.err.find("nonesuch"), std::string::npos);
  EXPECT_NE(output.err.find("base, "), std::string::npos) << output.err;
}

TEST_F(Demo, LengthsAsCommaSeparatedValuesAndAsJsonAgree) {
  const auto json = run_json("lengths " + plan_, 1);
  const Output csv = run_bight("lengths " + plan_ + " --csv");
  std::size_t lines = 0;
  for (const auto& option : json["options"]) lines += option["lines"].size();
  EXPECT_EQ(static_cast<std::size_t>(std::count(csv.out.begin(), csv.out.end(), '\n')), lines + 1);
}

TEST_F(Demo, ALengthThatCannotWorkIsNotOneToCut) {
  const Output text = run_bight("lengths " + plan_ + " --option \"plug at the head\"");
  EXPECT_NE(text.out.find("no length works"), std::string::npos) << text.out;
  const Output clear = run_bight("lengths " + plan_ + " --option \"in the chains\"");
  EXPECT_EQ(clear.out.find("no length works"), std::string::npos) << clear.out;
}

TEST_F(Demo, TheBedMapCoversTheBed) {
  const auto json = run_json("reach " + plan_ + " --option base --cell 100", 0);
  const auto& map = json["options"][0]["bed_map"];
  ASSERT_TRUE(map.is_object());
  EXPECT_EQ(map["cells"].size(),
            map["columns"].get<std::size_t>() * map["rows"].get<std::size_t>());
  std::size_t covered = 0;
  for (const auto& cell : map["cells"]) covered += cell["covered"].get<bool>() ? 1U : 0U;
  EXPECT_GT(covered, map["cells"].size() / 2);
}

TEST_F(Demo, WhereTheTipGetsDownTheSameEverywhereOneSentenceSaysSo) {
  const auto json = run_json("reach " + plan_ + " --option base --cell 100", 0);
  const Output text = run_bight("reach " + plan_ + " --option base --cell 100");
  const auto& cells = json["options"][0]["bed_map"]["cells"];
  for (const auto& cell : cells) {
    EXPECT_NEAR(cell["upper_mm"].get<double>(), cells[0]["upper_mm"].get<double>(), 0.5);
  }
  EXPECT_NE(text.out.find("everywhere over"), std::string::npos) << text.out;
  EXPECT_LT(std::count(text.out.begin(), text.out.end(), '\n'), 12) << text.out;
}

// The other demo plans are read and checked without errors.
TEST_F(Demo, TheOtherPlansCanBeChecked) {
  for (const char* name : {"moving-table.toml", "inch.toml", "meshes.toml"}) {
    const Output output =
        run_bight(std::string("check \"") + BIGHT_SOURCE_DIR + "/assets/demo/" + name + "\"");
    EXPECT_LE(output.exit_code, 1) << name << "\n" << output.err;
    EXPECT_TRUE(output.err.empty()) << name << "\n" << output.err;
  }
}

}  // namespace
}  // namespace bight::cli
