#include "plan/patch.h"

#include <gtest/gtest.h>

#include <filesystem>

#include "base/file.h"
#include "plan/option.h"
#include "plan/read.h"
#include "plan/toml.h"
#include "plan/write.h"

namespace bight::plan {
namespace {

const std::string k_plan = R"(# my plan
format = 1

[[part]]   # a post
name = "post"
  size = [ 10,10,   20 ]  # measured

[[part]]
name = "pole"
shape = "cylinder"
diameter = 40
length = 100

[[line]]
name = "cord"
article = "cable"
run = "way"

[[line]]
name = "air"
article = "cable"
run = "way"
circuit.voltage = 24   # dotted
circuit.current = 1

[[run]]
name = "way"
[[run.leg]]
way = "free"
from = "a"
to = "b"
[[run.leg]]
way = "free"
from = "b"
to = "c"

[tool]
body = "head"
tip = [0, 0, 0]
)";

std::string set(const std::string& text, const std::string& path, const std::string& value) {
  const Patched patched = set_value(text, path, value);
  EXPECT_EQ(patched.problem, "") << path;
  return patched.text;
}

/// The text with one stretch replaced by hand: what a careful person would have typed.
std::string by_hand(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

TEST(SetValue, ReplacesTheValueAndNothingElse) {
  EXPECT_EQ(set(k_plan, "part.post.size", "[11, 12, 13]"),
            by_hand(k_plan, "[ 10,10,   20 ]", "[11, 12, 13]"));
  EXPECT_EQ(set(k_plan, "tool.tip", "[1, 2, 3]"),
            by_hand(k_plan, "tip = [0, 0, 0]", "tip = [1, 2, 3]"));
  EXPECT_EQ(set(k_plan, "run.way.leg.2.to", "\"d\""), by_hand(k_plan, "to = \"c\"", "to = \"d\""));
  EXPECT_EQ(set(k_plan, "line.air.circuit.voltage", "48"),
            by_hand(k_plan, "voltage = 24 ", "voltage = 48 "));
}

TEST(SetValue, AddsAKeyBelowTheLastOneOfItsElement) {
  EXPECT_EQ(set(k_plan, "part.post.at", "[1, 2, 3]"),
            by_hand(k_plan, "# measured\n", "# measured\n  at = [1, 2, 3]\n"));
  EXPECT_EQ(set(k_plan, "run.way.leg.1.length", "900"),
            by_hand(k_plan, "to = \"b\"\n[[run.leg]]", "to = \"b\"\nlength = 900\n[[run.leg]]"));
}

TEST(SetValue, AddsAKeyBesideDottedOnes) {
  EXPECT_EQ(set(k_plan, "line.air.circuit.power_factor", "0.9"),
            by_hand(k_plan, "circuit.current = 1\n",
                    "circuit.current = 1\ncircuit.power_factor = 0.9\n"));
}

TEST(SetValue, MakesATableThatIsNotThereYet) {
  EXPECT_EQ(set(k_plan, "line.cord.circuit.current", "5"),
            by_hand(k_plan, "run = \"way\"\n\n[[line]]\nname = \"air\"",
                    "run = \"way\"\n[line.circuit]\ncurrent = 5\n\n[[line]]\nname = \"air\""));
  EXPECT_EQ(set(k_plan, "rules.spare_percent", "8"), k_plan + "\n[rules]\nspare_percent = 8\n");
}

TEST(SetValue, WorksInsideBraces) {
  const std::string text =
      "format = 1\npart = [{ name = \"a\", size = [1, 1, 1] }, { name = \"b\", size=[2,2,2]}]\n"
      "line = [{ name = \"c\", circuit = {} }]\n";
  EXPECT_EQ(set(text, "part.b.at", "[0, 0, 9]"),
            by_hand(text, "size=[2,2,2]", "size=[2,2,2], at = [0, 0, 9]"));
  EXPECT_EQ(set(text, "line.c.circuit.current", "3"),
            by_hand(text, "circuit = {}", "circuit = { current = 3 }"));
  EXPECT_EQ(set("line = [{ name = \"c\" }]\n", "line.c.circuit.current", "3"),
            "line = [{ name = \"c\", circuit = { current = 3 } }]\n");
}

TEST(SetValue, KeepsLineEndsAndAFileWithoutALastOne) {
  EXPECT_EQ(set("[rules]\r\nspare_percent = 5", "rules.minimum_clearance", "4"),
            "[rules]\r\nspare_percent = 5\r\nminimum_clearance = 4");
  EXPECT_EQ(set("[rules]", "rules.minimum_clearance", "4"), "[rules]\nminimum_clearance = 4");
}

TEST(SetValue, FindsItsPlaceBehindLettersOfSeveralBytes) {
  const std::string text =
      "# \xC3\xA4\xC3\xB6\xC3\xBC \xE2\x82\xAC\n[[part]]\nname = \"Tr\xC3\xA4ger\" \nsize = [1, 1, "
      "1] # \xE2\x82\xAC\n";
  EXPECT_EQ(set(text, "part.Tr\xC3\xA4ger.size", "[2, 2, 2]"),
            by_hand(text, "[1, 1, 1]", "[2, 2, 2]"));
  const std::string marked =
      "\xEF\xBB\xBF"
      "rules.spare_percent = 5\n";
  EXPECT_EQ(set(marked, "rules.spare_percent", "6"), by_hand(marked, "5", "6"));
}

TEST(SetValue, RefusesWhatWouldBreakTheFile) {
  EXPECT_NE(set_value(k_plan, "part.post.size", "[1, 2").problem, "");
  EXPECT_NE(set_value(k_plan, "part.post.size", "1\nname = 2").problem, "");
  // A comment would hide what follows it in the braces.
  EXPECT_NE(
      set_value("tool = { body = \"a\", tip = [0, 0, 0] }\n", "tool.body", "\"b\" # c").problem,
      "");
  EXPECT_NE(set_value(k_plan, "part.pots.size", "[1, 2, 3]").problem.find("\"post\""),
            std::string::npos);
  EXPECT_NE(set_value(k_plan, "part.post.name", "\"pole\"").problem, "");
  EXPECT_NE(set_value("format = ", "rules.spare_percent", "1").problem, "");
}

TEST(RemoveValue, TakesTheLineOrTheStretchInBraces) {
  EXPECT_EQ(remove_value(k_plan, "part.pole.length").text, by_hand(k_plan, "length = 100\n", ""));
  const std::string braces = "part = [{ name = \"a\", size = [1, 1, 1], at = [0, 0, 0] }]\n";
  EXPECT_EQ(remove_value(braces, "part.a.at").text, by_hand(braces, ", at = [0, 0, 0]", ""));
  EXPECT_EQ(remove_value(braces, "part.a.size").text, by_hand(braces, "size = [1, 1, 1], ", ""));
  EXPECT_NE(remove_value(k_plan, "part.pole.turn").problem, "");
}

TEST(AppendBlock, LeavesOneEmptyLineBefore) {
  EXPECT_EQ(append_block("a = 1\n", "[[part]]\nname = \"x\"").text,
            "a = 1\n\n[[part]]\nname = \"x\"\n");
  EXPECT_EQ(append_block("a = 1", "[t]\n").text, "a = 1\n\n[t]\n");
  EXPECT_NE(append_block("a = 1\n", "[[part]\n").problem, "");
}

TEST(AppendOption, IsReadBackAsAnOption) {
  const std::string text = starter_plan({}).text;
  const Patched patched = append_option(text, "higher hook", "300 mm \"higher\"",
                                        {{"support.ceiling hook.at", "[700, 550, 1900]"},
                                         {"run.over the hook.leg.2.slack_percent", "4"}});
  ASSERT_EQ(patched.problem, "");
  EXPECT_EQ(patched.text.substr(0, text.size()), text);
  Diagnostics diagnostics;
  const auto plan = read_plan(patched.text, "p.toml", "higher hook", diagnostics);
  ASSERT_TRUE(plan) << to_text(diagnostics.items().front());
  EXPECT_EQ(plan->supports.at(0).at, Vec3(700.0, 550.0, 1900.0));
  EXPECT_EQ(plan->options.back().about, "300 mm \"higher\"");

  EXPECT_NE(append_option(patched.text, "higher hook", "", {{"rules.spare_percent", "4"}}).problem,
            "");
  EXPECT_NE(append_option(text, "x", "", {{"rules.spare", "4"}}).problem, "");
  EXPECT_NE(append_option(text, "x", "", {{"rules.spare_percent", "4 5"}}).problem, "");
}

TEST(TomlValues, AreWrittenInTheUnitOfTheFile) {
  EXPECT_EQ(toml_length(25.4, true), "1");
  EXPECT_EQ(toml_length(25.4, false), "25.4");
  EXPECT_EQ(toml_vector({25.4, 0.0, -50.8}, true), "[1, 0, -2]");
  EXPECT_EQ(toml_text("a \"b\"\n"), "\"a \\\"b\\\"\\n\"");
}

// Each key of the plan with every key set to the value that it has: the text must not change. Each
// removed and set again: the plan must read back the same.
TEST(SetValue, IsExactForEveryValueOfThePlanWithEveryKey) {
  const FileText file = read_file(
      std::filesystem::path(BIGHT_SOURCE_DIR) / "tests/corpus/plan/good/every_key.toml", 1U << 20U);
  ASSERT_TRUE(file.text);
  const std::string& text = *file.text;
  Diagnostics diagnostics;
  const auto root = parse_toml(text, "", diagnostics);
  ASSERT_TRUE(root);
  int edits = 0;
  const auto try_element = [&](const Value& element, const std::string& path) {
    for (const Entry& entry : element.entries) {
      if (entry.key == "name" || entry.value.kind == Value::Kind::table) continue;
      if (!entry.value.items.empty() && entry.value.items[0].kind == Value::Kind::table) continue;
      const std::string key = path + "." + entry.key;
      const Region& r = entry.value.region;
      const std::size_t begin = byte_offset(text, r.line, r.column);
      const std::string written =
          text.substr(begin, byte_offset(text, r.end_line, r.end_column) - begin);
      EXPECT_EQ(set(text, key, written), text) << key;
      const Patched without = remove_value(text, key);
      ASSERT_EQ(without.problem, "") << key;
      EXPECT_LT(without.text.size(), text.size()) << key;
      const std::string again = set(without.text, key, written);
      Diagnostics ignored;
      auto tree = parse_toml(again, "", ignored);
      ASSERT_TRUE(tree) << key;
      const PathTarget target = resolve_path(*tree, key, {}, ignored);
      ASSERT_NE(target.table, nullptr) << key;
      EXPECT_EQ(to_toml(target.table->find(entry.key)->value), to_toml(entry.value)) << key;
      ++edits;
    }
  };
  for (const char* table : {"part", "joint", "chain", "article", "line", "anchor", "support"}) {
    for (const Value& element : root->find(table)->value.items) {
      try_element(element, std::string(table) + "." + element.find("name")->value.text);
    }
  }
  for (const char* table : {"frame", "rules", "tool"}) try_element(root->find(table)->value, table);
  EXPECT_GT(edits, 100);
}

}  // namespace
}  // namespace bight::plan
