#include "plan/option.h"

#include <gtest/gtest.h>

namespace bight::plan {
namespace {

Value parsed(std::string_view text) {
  Diagnostics diagnostics;
  auto value = parse_toml(text, "t.toml", diagnostics);
  EXPECT_TRUE(value);
  return value.value_or(Value{});
}

TEST(ResolvePath, FollowsNamesNumbersAndSingleTables) {
  Value root = parsed(R"([[run]]
name = "over the hook"
[[run.leg]]
way = "free"
[[run.leg]]
way = "fixed"
[[gap]]
limb = "hand"
[tool]
body = "head"
)");
  Diagnostics diagnostics;
  const PathTarget leg = resolve_path(root, "run.over the hook.leg.2.way", {}, diagnostics);
  ASSERT_NE(leg.table, nullptr);
  EXPECT_EQ(leg.key_table, "run.leg");
  EXPECT_EQ(leg.key, "way");
  EXPECT_EQ(leg.table->find("way")->value.text, "fixed");
  EXPECT_EQ(resolve_path(root, "gap.1.limb", {}, diagnostics).table->find("limb")->value.text,
            "hand");
  EXPECT_EQ(resolve_path(root, "tool.body", {}, diagnostics).table, &root.find("tool")->value);
  EXPECT_TRUE(diagnostics.items().empty());
}

TEST(ResolvePath, SaysWhichSingleTablesAreStillToBeMade) {
  Value root = parsed("[[line]]\nname = \"cord\"\n");
  Diagnostics diagnostics;
  const PathTarget circuit = resolve_path(root, "line.cord.circuit.current", {}, diagnostics);
  EXPECT_EQ(circuit.table, &root.find("line")->value.items[0]);
  EXPECT_EQ(circuit.missing, std::vector<std::string>{"circuit"});
  EXPECT_EQ(resolve_path(root, "rules.spare_percent", {}, diagnostics).table, &root);
}

TEST(ResolvePath, AddsOneDiagnosticForAPathThatLeadsNowhere) {
  Value root = parsed("[[line]]\nname = \"cord\"\n");
  for (const char* path : {"", ".", "..", "line", "line.cord", "line..article", "line.cord.",
                           "line.cord.article.x", "line.cord.circuit", "x.y.z", "rules", "rules.x",
                           "gap.0.limb", "gap.1.limb", "gap.1e99.limb", "units"}) {
    Diagnostics diagnostics;
    EXPECT_EQ(resolve_path(root, path, {"t.toml", 7, 3}, diagnostics).table, nullptr) << path;
    ASSERT_EQ(diagnostics.items().size(), 1U) << path;
    EXPECT_EQ(diagnostics.items()[0].place.line, 7);
  }
}

TEST(WrittenOverrides, MayBeQuotedOrDotted) {
  const Value root = parsed("\"a.b.c\" = 1\nd.e = 2\nf.\"g h\".i = 3\n");
  const auto written = written_overrides(root);
  ASSERT_EQ(written.size(), 3U);
  EXPECT_EQ(written[0].path, "a.b.c");
  EXPECT_EQ(written[1].path, "d.e");
  EXPECT_EQ(written[2].path, "f.g h.i");
  EXPECT_EQ(written[2].value->whole, 3);
}

TEST(ApplyOption, ReplacesAndAddsValuesThatKeepTheirPlaceInTheOption) {
  Value root = parsed(
      "[[part]]\nname = \"post\"\nsize = [1, 1, 1]\n"
      "[[option]]\nname = \"a\"\n[option.set]\n\"part.post.size\" = 2\n\"part.post.at\" = 3\n");
  Diagnostics diagnostics;
  ASSERT_TRUE(apply_option(root, "a", "t.toml", diagnostics));
  const Value& post = root.find("part")->value.items[0];
  EXPECT_EQ(post.find("size")->value.whole, 2);
  EXPECT_EQ(post.find("size")->value.region.line, 7);
  EXPECT_EQ(post.find("at")->value.region.line, 8);
  EXPECT_FALSE(apply_option(root, "b", "t.toml", diagnostics));
}

}  // namespace
}  // namespace bight::plan
