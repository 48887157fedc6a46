// Broken plans, one fault each: tests/corpus/plan/NAME.toml with what the reader must say in
// NAME.expected, line for line. The messages are what a person in a workshop reads, so they are
// compared as text.

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include "base/file.h"
#include "base/tolerance.h"
#include "plan/read.h"

namespace bight::plan {
namespace {

const std::filesystem::path k_corpus =
    std::filesystem::path(BIGHT_SOURCE_DIR) / "tests" / "corpus" / "plan";

std::vector<std::string> broken_plans() {
  std::vector<std::string> stems;
  for (const auto& entry : std::filesystem::directory_iterator(k_corpus)) {
    if (entry.path().extension() == ".toml") stems.push_back(entry.path().stem().string());
  }
  std::sort(stems.begin(), stems.end());
  return stems;
}

std::string text_of(const std::filesystem::path& path) {
  const FileText read = read_file(path, k_plan_bytes_limit);
  EXPECT_TRUE(read.text) << read.problem;
  return read.text.value_or("");
}

std::string diagnostics_of(const std::string& stem) {
  Diagnostics diagnostics;
  const auto plan =
      read_plan(text_of(k_corpus / (stem + ".toml")), stem + ".toml", "", diagnostics);
  EXPECT_FALSE(plan) << stem << " was accepted";
  std::string text;
  for (const Diagnostic& d : diagnostics.items()) text += to_text(d) + "\n";
  return text;
}

class BrokenPlan : public testing::TestWithParam<std::string> {};

TEST_P(BrokenPlan, IsToldWhatIsWrongAndWhere) {
  EXPECT_EQ(diagnostics_of(GetParam()), text_of(k_corpus / (GetParam() + ".expected")));
}

INSTANTIATE_TEST_SUITE_P(Corpus, BrokenPlan, testing::ValuesIn(broken_plans()),
                         [](const auto& info) { return info.param; });

TEST(BrokenPlans, AreAtLeastFiftyAndEachHasItsExpectedText) {
  const auto stems = broken_plans();
  EXPECT_GE(stems.size(), 50U);
  for (const std::string& stem : stems) {
    EXPECT_TRUE(std::filesystem::exists(k_corpus / (stem + ".expected"))) << stem;
  }
}

TEST(BrokenPlans, SayInEveryMessageWhereItStands) {
  for (const std::string& stem : broken_plans()) {
    Diagnostics diagnostics;
    read_plan(text_of(k_corpus / (stem + ".toml")), stem, "", diagnostics);
    for (const Diagnostic& d : diagnostics.items()) {
      EXPECT_GT(d.place.line, 0) << stem << ": " << d.message;
      EXPECT_GT(d.place.column, 0) << stem << ": " << d.message;
    }
  }
}

}  // namespace
}  // namespace bight::plan
