// Text fits a page of 100 columns, and says why a command ends with exit code 1.

#include <algorithm>
#include <sstream>

#include "run_bight.h"

namespace bight::cli {
namespace {

const std::string k_demos = std::string("\"") + BIGHT_SOURCE_DIR + "/assets/demo/";

std::size_t width_of(const std::string& line) {
  return static_cast<std::size_t>(std::count_if(line.begin(), line.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
  }));
}

/// Lines of more than 100 columns; TOML that is there to be copied is not broken.
std::string too_wide(const std::string& text) {
  std::istringstream lines(text);
  std::string wide;
  for (std::string line; std::getline(lines, line);) {
    const bool toml = line.find("\" = ") != std::string::npos;
    const bool heading = line.find(".toml)") != std::string::npos;  // the path is as long as it is
    if (width_of(line) > 100 && !toml && !heading) wide += line + "\n";
  }
  return wide;
}

TEST(PageWidth, EveryCommandKeepsToAHundredColumns) {
  for (const char* plan : {"plan.toml\"", "meshes.toml\"", "moving-table.toml\"", "inch.toml\""}) {
    for (const char* command : {"check ", "compare ", "reach ", "lengths ", "hooks ", "suggest "}) {
      if (std::string(command) == "suggest " && std::string(plan) != "plan.toml\"") continue;
      const Output output = run_bight(command + k_demos + plan);
      EXPECT_LE(output.exit_code, 1) << command << plan << output.err;
      EXPECT_EQ(too_wide(output.out), "") << command << plan;
      EXPECT_EQ(output.out.find(" 1 poses"), std::string::npos) << command << plan;
    }
  }
  EXPECT_EQ(too_wide(run_bight("keys").out), "");
  EXPECT_EQ(too_wide(run_bight("reach " + k_demos + "plan.toml\" --cell 20").out), "");
}

TEST(PageWidth, HelpKeepsToAHundredColumns) {
  for (const char* command :
       {"", "check", "reach", "lengths", "compare", "suggest", "new", "keys", "calc hang",
        "calc chain", "calc bundle", "calc drop", "calc droop"}) {
    EXPECT_EQ(too_wide(run_bight(std::string(command) + " --help").out), "") << command;
  }
}

TEST(PageWidth, ManyOptionsAreTablesBelowEachOther) {
  std::string name = (std::filesystem::temp_directory_path() / "bight-page-XXXXXX").string();
  ASSERT_NE(::mkdtemp(name.data()), nullptr);
  const std::string file = "\"" + name + "/plan.toml\"";
  ASSERT_EQ(run_bight("new " + file).exit_code, 0);
  {
    std::ofstream plan(name + "/plan.toml", std::ios::app);
    for (int i = 0; i < 9; ++i) {
      plan << "\n[[option]]\nname = \"a way that has a rather long name, number " << i
           << "\"\n[option.set]\n\"rules.spare_percent\" = " << i + 1 << "\n";
    }
  }
  const Output output = run_bight("compare " + file);
  EXPECT_EQ(output.exit_code, 0) << output.err;
  EXPECT_EQ(too_wide(output.out), "");
  const auto rows = [&](const std::string& start) {
    std::istringstream lines(output.out);
    int count = 0;
    for (std::string line; std::getline(lines, line);) count += line.rfind(start, 0) == 0 ? 1 : 0;
    return count;
  };
  EXPECT_GE(rows("  holes to drill"), 2);
  std::filesystem::remove_all(name);
}

TEST(PageWidth, ReachSaysWhatItsExitCodeComesFrom) {
  const Output output = run_bight("reach " + k_demos + "plan.toml\" --option \"plug at the head\"");
  EXPECT_EQ(output.exit_code, 1);
  EXPECT_NE(output.out.find("plug at the head: stop"), std::string::npos) << output.out;
  EXPECT_NE(output.out.find("no length works"), std::string::npos) << output.out;
}

}  // namespace
}  // namespace bight::cli
