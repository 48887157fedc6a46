#include "plan/patch_element.h"

#include <gtest/gtest.h>

#include "base/file.h"
#include "plan/document.h"

namespace bight::plan {
namespace {

const std::string k_plan = R"(# the whole plan
format = 1

# --- parts ---

# what stands in the way
[[part]]   # a post
name = "post"
size = [10, 10, 20]  # measured

[[part]]
name = "pole"
size = [1, 1, 1]

[[run]]
name = "way"
[[run.leg]]
way = "free"
from = "a"
to = "hook"
[[run.leg]]
way = "free"
from = "hook"
to = "c"   # the last one

[[support]]
name = "hook"
at = [1, 2, 3]

[[chain]]
name = "loop"
place = [{ line = "l", at = [1, 1] }, { line = "m", at = [2, 2] }]

[[touching]]
between = ["post", "pole"]

[[option]]
name = "high"
[option.set]
"support.hook.at" = [1, 2, 9]  # higher
"run.way.leg.1.from" = "hook"
)";

std::string done(const Patched& patched) {
  EXPECT_EQ(patched.problem, "");
  return patched.text;
}

std::string by_hand(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

TEST(AddElement, GoesBehindTheLastOfItsKind) {
  EXPECT_EQ(done(add_element(k_plan, {"part", "", {{"name", "\"box\""}, {"size", "[1, 2, 3]"}}})),
            by_hand(k_plan, "size = [1, 1, 1]\n",
                    "size = [1, 1, 1]\n\n[[part]]\nname = \"box\"\nsize = [1, 2, 3]\n"));
}

TEST(AddElement, GoesInsideTheElementThatItBelongsTo) {
  EXPECT_EQ(
      done(add_element(k_plan, {"run.leg", "run.way", {{"way", "\"fixed\""}}, 2})),
      by_hand(k_plan, "to = \"hook\"\n", "to = \"hook\"\n\n[[run.leg]]\nway = \"fixed\"\n\n"));
  EXPECT_EQ(done(add_element(k_plan, {"chain.place", "chain.loop", {{"line", "\"n\""}}})),
            by_hand(k_plan, "[2, 2] }]", "[2, 2] }, { line = \"n\" }]"));
}

TEST(AddElement, MakesTheFirstOfItsKindAtTheEnd) {
  EXPECT_EQ(done(add_element(k_plan, {"gap", "", {{"limb", "\"hand\""}}})),
            k_plan + "\n[[gap]]\nlimb = \"hand\"\n");
  EXPECT_EQ(done(add_element(k_plan, {"rules", "", {{"spare_percent", "6"}}})),
            k_plan + "\n[rules]\nspare_percent = 6\n");
}

TEST(AddElement, RefusesANameThatIsTakenAndATableThatIsThere) {
  EXPECT_NE(add_element(k_plan, {"part", "", {{"name", "\"post\""}}}).problem, "");
  EXPECT_NE(add_element("[rules]\n", {"rules", "", {}}).problem, "");
  EXPECT_NE(add_element(k_plan, {"run.leg", "run.nowhere", {}}).problem, "");
  EXPECT_NE(add_element(k_plan, {"part", "", {{"name", "\"a"}}}).problem, "");
}

TEST(RemoveElement, TakesItsOwnCommentAlongAndLeavesTheRest) {
  const std::string without = done(remove_element(k_plan, "part.post"));
  EXPECT_EQ(without,
            by_hand(k_plan,
                    "# what stands in the way\n[[part]]   # a post\nname = \"post\"\nsize = "
                    "[10, 10, 20]  # measured\n\n",
                    ""));
  EXPECT_EQ(done(remove_element(k_plan, "run.way.leg.1")),
            by_hand(k_plan, "[[run.leg]]\nway = \"free\"\nfrom = \"a\"\nto = \"hook\"\n", ""));
  EXPECT_EQ(done(remove_element(k_plan, "chain.loop.place.1")),
            by_hand(k_plan, "{ line = \"l\", at = [1, 1] }, ", ""));
  EXPECT_EQ(done(remove_element(k_plan, "option.high")).find("option"), std::string::npos);
}

TEST(DuplicateElement, StandsRightBehindWithANewName) {
  EXPECT_EQ(done(duplicate_element(k_plan, "part.post", "post 2")),
            by_hand(k_plan, "# measured\n",
                    "# measured\n\n# what stands in the way\n[[part]]   # a post\nname = \"post "
                    "2\"\nsize = [10, 10, 20]  # measured\n"));
  const std::string runs = done(duplicate_element(k_plan, "run.way", "other"));
  EXPECT_NE(find_element(read_document(runs), "run.other.leg.2"), nullptr);
  EXPECT_NE(duplicate_element(k_plan, "part.post", "pole").problem, "");
}

TEST(MoveElement, ChangesTheOrderBothWays) {
  const std::string down = done(move_element(k_plan, "part.post", 2));
  const Document document = read_document(down);
  EXPECT_EQ(find_element(document, "part.post")->number, 2U);
  EXPECT_NE(down.find("# what stands in the way\n[[part]]   # a post"), std::string::npos);
  const std::string up = done(move_element(down, "part.post", 1));
  EXPECT_EQ(find_element(read_document(up), "part.post")->number, 1U);
  const std::string legs = done(move_element(k_plan, "run.way.leg.2", 1));
  EXPECT_EQ(find_key(read_document(legs), "run.way.leg.1.to")->value, "\"c\"");
  const std::string places = done(move_element(k_plan, "chain.loop.place.1", 2));
  EXPECT_EQ(find_key(read_document(places), "chain.loop.place.2.line")->value, "\"l\"");
  EXPECT_NE(move_element(k_plan, "part.post", 3).problem, "");
}

TEST(RenameElement, TakesEveryReferenceAlong) {
  std::string wanted = k_plan;
  for (const char* place :
       {"to = \"hook\"", "from = \"hook\"", "name = \"hook\"", "leg.1.from\" = \"hook\""}) {
    const std::string to = by_hand(place, "hook", "rafter");
    wanted = by_hand(wanted, place, to);
  }
  wanted = by_hand(wanted, "\"support.hook.at\"", "\"support.rafter.at\"");
  EXPECT_EQ(done(rename_element(k_plan, "support.hook", "rafter")), wanted);
  EXPECT_EQ(done(rename_element(k_plan, "part.pole", "mast")),
            by_hand(by_hand(k_plan, "name = \"pole\"", "name = \"mast\""), "\"post\", \"pole\"",
                    "\"post\", \"mast\""));
  EXPECT_NE(rename_element(k_plan, "part.pole", "post").problem, "");
  EXPECT_NE(rename_element(k_plan, "part.pole", "a.b").problem, "");
}

TEST(SetOverride, WritesReplacesAndRemovesTheValuesOfAnOption) {
  const std::string more = done(set_override(k_plan, "high", "part.post.present", "false"));
  EXPECT_EQ(more, k_plan + "\"part.post.present\" = false\n");
  EXPECT_EQ(done(set_override(k_plan, "high", "support.hook.at", "[0, 0, 8]")),
            by_hand(k_plan, "[1, 2, 9]", "[0, 0, 8]"));
  EXPECT_EQ(done(remove_override(more, "high", "part.post.present")), k_plan);
  EXPECT_NE(set_override(k_plan, "high", "part.post.name", "\"x\"").problem, "");
  EXPECT_NE(set_override(k_plan, "low", "part.post.present", "false").problem, "");
}

TEST(SetValue, ReachesTheTopOfTheFileAndOptions) {
  EXPECT_EQ(done(set_value(k_plan, "units", "\"in\"")),
            by_hand(k_plan, "format = 1\n", "format = 1\nunits = \"in\"\n"));
  EXPECT_EQ(done(set_value(k_plan, "option.high.about", "\"up\"")),
            by_hand(k_plan, "name = \"high\"\n", "name = \"high\"\nabout = \"up\"\n"));
}

TEST(Document, ListsEveryKeyWithWhereItsValueComesFrom) {
  const Document document = read_document(k_plan, "high");
  const KeyState* at = find_key(document, "support.hook.at");
  ASSERT_NE(at, nullptr);
  EXPECT_EQ(at->origin, Origin::option);
  EXPECT_EQ(at->value, "[1, 2, 9]");
  EXPECT_EQ(at->plan_value, "[1, 2, 3]");
  EXPECT_EQ(find_key(document, "part.post.size")->origin, Origin::file);
  EXPECT_EQ(find_key(document, "part.post.body")->origin, Origin::absent);
  EXPECT_FALSE(find_key(document, "part.post.diameter")->applies);
  EXPECT_FALSE(find_element(document, "rules")->in_file);
  EXPECT_EQ(find_element(document, "run.way.leg.2")->parent, "run.way");
}

TEST(Document, KnowsEveryKeyOfTheTableOfKeys) {
  const FileText demo =
      read_file(BIGHT_SOURCE_DIR "/tests/corpus/plan/good/every_key.toml", 1U << 20U);
  ASSERT_TRUE(demo.text) << demo.problem;
  const Document document = read_document(*demo.text);
  std::size_t tables = 0;
  for (const KeyTable& table : all_key_tables()) {
    for (const Element& element : document.elements) {
      if (element.table == &table) {
        ++tables;
        break;
      }
    }
  }
  EXPECT_EQ(tables, all_key_tables().size());
}

}  // namespace
}  // namespace bight::plan
