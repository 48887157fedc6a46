#include "plan/toml.h"

#include <gtest/gtest.h>

#include <random>

namespace bight::plan {
namespace {

Value parsed(std::string_view text) {
  Diagnostics diagnostics;
  auto value = parse_toml(text, "t.toml", diagnostics);
  EXPECT_TRUE(value) << (diagnostics.items().empty() ? "" : to_text(diagnostics.items().front()));
  return value.value_or(Value{});
}

std::string problem(std::string_view text) {
  Diagnostics diagnostics;
  EXPECT_FALSE(parse_toml(text, "t.toml", diagnostics));
  EXPECT_EQ(diagnostics.items().size(), 1U);
  return diagnostics.items().empty() ? "" : to_text(diagnostics.items().front());
}

TEST(Toml, KeepsTheOrderOfTheFile) {
  const Value root = parsed("zebra = 1\nape = 2\nmouse = 3\n");
  ASSERT_EQ(root.entries.size(), 3U);
  EXPECT_EQ(root.entries[0].key, "zebra");
  EXPECT_EQ(root.entries[1].key, "ape");
  EXPECT_EQ(root.entries[2].key, "mouse");
}

TEST(Toml, KnowsWhereKeysAndValuesStand) {
  const std::string text = "# \xC3\xA9t\xC3\xA9\n  name = \"caf\xC3\xA9\" # c\nlist = [1,\n  2]\n";
  const Value root = parsed(text);
  const auto stretch = [&](const Region& r) {
    const std::size_t begin = byte_offset(text, r.line, r.column);
    return text.substr(begin, byte_offset(text, r.end_line, r.end_column) - begin);
  };
  EXPECT_EQ(root.find("name")->key_region.column, 3);
  EXPECT_EQ(stretch(root.find("name")->value.region), "\"caf\xC3\xA9\"");
  EXPECT_EQ(stretch(root.find("list")->value.region), "[1,\n  2]");
}

TEST(Toml, CountsColumnsBehindAByteOrderMarkFromOne) {
  const std::string text = "\xEF\xBB\xBFname = 3\n";
  const Value root = parsed(text);
  EXPECT_EQ(root.find("name")->key_region.column, 1);
  EXPECT_EQ(text[byte_offset(text, 1, 8)], '3');
}

TEST(Toml, WritesValuesThatReadBackEqual) {
  const std::string text =
      "v = [1, -2.5, true, \"a \\\"b\\\" \\\\ \\n \\u0001\", [[0.1, 1e-9], [3, 4]], { x = 1, y = "
      "[2] }]\n";
  const Value first = parsed(text).find("v")->value;
  const std::string written = to_toml(first);
  const Value again = parsed("v = " + written).find("v")->value;
  EXPECT_EQ(to_toml(again), written);
  EXPECT_EQ(again.items[3].text, "a \"b\" \\ \n \x01");
  EXPECT_EQ(again.items[4].items[0].items[0].real, 0.1);
}

// RFC 3629, section 3: what is not UTF-8, however it came about.
TEST(Toml, RefusesBytesThatAreNotUtf8AndSaysWhere) {
  for (const char* bad : {"\x80", "\xC3(", "\xC0\xAF", "\xE0\x80\xAF", "\xED\xA0\x80",
                          "\xF4\x90\x80\x80", "\xF8\x88\x80\x80\x80", "\xFF", "\xE2\x82"}) {
    EXPECT_EQ(problem("# one\nname = \"" + std::string(bad) + "\"\n").rfind("t.toml:2:9: ", 0), 0U);
  }
  for (const char* good : {"\xC3\xA9", "\xE2\x82\xAC", "\xED\x9F\xBF", "\xEE\x80\x80",
                           "\xF0\x9F\x94\xA7", "\xF4\x8F\xBF\xBF"}) {
    parsed("name = \"" + std::string(good) + "\"\n");
  }
}

TEST(Toml, SurvivesNestingWithoutEnd) {
  std::string dots = "a";
  for (int i = 0; i < 300'000; ++i) dots += ".a";
  problem(dots + " = 1\n");
  problem("[" + dots + "]\n");
  problem("v = { " + dots + " = 1 }\n");
  problem("v = " + std::string(300'000, '['));
  // Quoted keys, and strings that hide where a key begins.
  std::string quoted = "\"=#\"";
  for (int i = 0; i < 100'000; ++i) quoted += ".\"=#\"";
  problem(quoted + " = 1\n");
  std::string hidden;
  for (int i = 0; i < 30; ++i) hidden += "{ x" + std::string(30, '.') + " = [\n";
  problem("v = " + hidden);
}

TEST(Toml, AcceptsDotsAndBracketsInTextsAndComments) {
  const std::string many(1000, '.');
  const std::string brackets(1000, '[');
  const Value root =
      parsed("# " + many + brackets + "\na = \"" + many + "\\\"" + brackets + "\"\nb = '" + many +
             "'\nc = \"\"\"\n" + many + "\n" + brackets + "\"\"\"\nd = [[0.5, 1.5], [2.5, 3.5]]\n");
  EXPECT_EQ(root.entries.size(), 4U);
}

// The lexer that guards the library's stack must never see less depth than the library: random
// scraps of TOML around a deep key are either refused or parsed, without a crash.
TEST(Toml, GuardsItsDepthInRandomScraps) {
  const std::vector<std::string> scraps = {"\"", "'", "\"\"\"", "'''", "\\", "\n", "#", "=",
                                           "[",  "]", "{",      "}",   ",",  ".",  "a", " "};
  std::string deep = "a";
  for (int i = 0; i < 60'000; ++i) deep += ".a";
  std::mt19937 random(11);
  int refused = 0;
  for (int trial = 0; trial < 300; ++trial) {
    std::string text;
    for (int i = 0; i < 6; ++i) text += scraps[random() % scraps.size()];
    text += deep;
    for (int i = 0; i < 6; ++i) text += scraps[random() % scraps.size()];
    Diagnostics diagnostics;
    if (!parse_toml(text, "t.toml", diagnostics)) ++refused;
  }
  EXPECT_GT(refused, 200);
}

TEST(Toml, FindsBytePositionsInEveryLine) {
  const std::string text = "ab\n\xC3\xA9x\n";
  EXPECT_EQ(byte_offset(text, 1, 1), 0U);
  EXPECT_EQ(byte_offset(text, 1, 9), 2U);  // beyond the line: its end
  EXPECT_EQ(byte_offset(text, 2, 2), 5U);
  EXPECT_EQ(byte_offset(text, 3, 1), text.size());
  EXPECT_EQ(byte_offset(text, 9, 9), text.size());
  EXPECT_EQ(byte_offset("", 1, 1), 0U);
}

}  // namespace
}  // namespace bight::plan
