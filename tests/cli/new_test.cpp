// `bight new`: what it asks, what it refuses and what it assumes.

#include "run_bight.h"

namespace bight::cli {
namespace {

namespace fs = std::filesystem;

class New : public testing::Test {
 protected:
  void SetUp() override {
    std::string name = (fs::temp_directory_path() / "bight-new-XXXXXX").string();
    ASSERT_NE(::mkdtemp(name.data()), nullptr);
    folder_ = name;
    file_ = "\"" + (folder_ / "a.toml").string() + "\"";
  }
  void TearDown() override { fs::remove_all(folder_); }
  bool written() const { return fs::exists(folder_ / "a.toml"); }

  fs::path folder_;
  std::string file_;
};

TEST_F(New, AnEndOfTheInputStopsAndWritesNothing) {
  for (const char* input : {"", "900\n", "900\n600\n100\n1100\n"}) {
    const Output output = run_bight("new --ask " + file_, input);
    EXPECT_EQ(output.exit_code, 2);
    EXPECT_NE(output.err.find("nothing was written"), std::string::npos) << output.err;
    EXPECT_FALSE(written()) << input;
  }
}

TEST_F(New, TwelveEmptyAnswersTakeWhatIsProposedAndThePlanIsClear) {
  const Output output = run_bight("new --ask " + file_, std::string(12, '\n'));
  EXPECT_EQ(output.exit_code, 0) << output.err;
  EXPECT_EQ(run_json("check " + file_)["options"][0]["verdict"], "clear");
}

TEST_F(New, ABadAnswerIsRefusedAtOnceWithTheReasonAndAskedForAgain) {
  // A word, a travel below 10 mm, then a good one; a bed that is shorter than the travel, then one
  // that is not.
  const Output output =
      run_bight("new --ask " + file_, "wide\n3\n900\n600\n100\n500\n1100\n\n\n\n\n\n\n\n\n\n");
  EXPECT_EQ(output.exit_code, 0) << output.err;
  EXPECT_NE(output.err.find("a number in mm, please"), std::string::npos);
  EXPECT_NE(output.err.find("the travel along X is 3 mm; it must be from 10"), std::string::npos)
      << output.err;
  EXPECT_NE(output.err.find("the bed must be at least"), std::string::npos) << output.err;
  // Each of the three is answered by the same question once more.
  const auto count = [&](const std::string& question) {
    int found = 0;
    for (auto at = output.err.find(question); at != std::string::npos;
         at = output.err.find(question, at + 1)) {
      ++found;
    }
    return found;
  };
  EXPECT_EQ(count("Travel along X"), 3);
  EXPECT_EQ(count("Bed along X"), 2);
  EXPECT_EQ(run_bight("check " + file_).exit_code, 0);
}

TEST_F(New, AnyTravelHasABedThatSuitsItAndWhatIsAssumedIsSaid) {
  for (const char* travel : {"900 600 100", "2500 1300 350", "300 200 60"}) {
    const Output output = run_bight("new --replace " + file_ + " --travel " + travel);
    EXPECT_EQ(output.exit_code, 0) << travel << output.err;
    EXPECT_NE(output.out.find("assumed, since not given: bed "), std::string::npos) << output.out;
    EXPECT_NE(output.out.find("(--bed)"), std::string::npos) << output.out;
    EXPECT_EQ(output.out.find("(--travel)"), std::string::npos) << output.out;
    EXPECT_EQ(run_bight("check " + file_).exit_code, 0) << travel;
  }
}

TEST_F(New, ACeilingTooLowForAHookIsRefusedWithNumbers) {
  const Output output = run_bight("new " + file_ + " --supply hook --ceiling 1500");
  EXPECT_EQ(output.exit_code, 2);
  EXPECT_NE(output.err.find("ceiling is too low"), std::string::npos) << output.err;
  EXPECT_FALSE(written());
}

}  // namespace
}  // namespace bight::cli
