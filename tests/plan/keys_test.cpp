#include "plan/keys.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <set>

#include "base/file.h"
#include "plan/toml.h"

namespace bight::plan {
namespace {

std::string file_text(const std::string& path) {
  const FileText read = read_file(std::filesystem::path(BIGHT_SOURCE_DIR) / path, 1U << 20U);
  EXPECT_TRUE(read.text) << read.problem;
  return read.text.value_or("");
}

const Key& key(const std::string& table, const std::string& name) {
  const auto& keys = all_keys();
  const auto found = std::find_if(keys.begin(), keys.end(),
                                  [&](const Key& k) { return k.table == table && k.name == name; });
  EXPECT_NE(found, keys.end()) << table << "." << name;
  return *found;
}

TEST(Keys, AreEachKnownOnceAndExplained) {
  std::set<std::string> seen;
  for (const Key& k : all_keys()) {
    EXPECT_TRUE(seen.insert(k.table + "." + k.name).second) << k.table << "." << k.name;
    EXPECT_FALSE(k.meaning.empty()) << k.table << "." << k.name;
    EXPECT_EQ(k.meaning.back(), '.') << k.meaning;
    EXPECT_FALSE(allowed_text(k).empty());
    EXPECT_FALSE(k.required && !k.standard.empty()) << k.name << " is required but has a default";
  }
}

TEST(Keys, BelongToTablesThatAreKnownAndExplained) {
  std::set<std::string> tables;
  for (const KeyTable& table : all_key_tables()) {
    EXPECT_TRUE(tables.insert(table.path).second) << table.path;
    EXPECT_FALSE(table.meaning.empty()) << table.path;
  }
  for (const Key& k : all_keys()) {
    EXPECT_TRUE(tables.count(k.table)) << k.table;
    for (const std::string& other : k.refers_to) EXPECT_TRUE(tables.count(other)) << other;
  }
}

// A number without a limit would let nonsense such as 1e300 mm into the computations.
TEST(Keys, LimitEveryNumber) {
  for (const Key& k : all_keys()) {
    const bool has_numbers = k.type == KeyType::number || k.type == KeyType::whole_number ||
                             k.type == KeyType::numbers || k.type == KeyType::interval ||
                             k.type == KeyType::pair || k.type == KeyType::vector ||
                             k.type == KeyType::direction || k.type == KeyType::pairs ||
                             k.type == KeyType::vectors;
    EXPECT_EQ(has_numbers, k.range.has_value()) << k.table << "." << k.name;
  }
}

TEST(Keys, ThatDependOnAChoiceNameOneOfItsWords) {
  for (const Key& k : all_keys()) {
    if (!k.only_for) continue;
    const Key& decider = key(k.table, k.only_for->key);
    for (const std::string& value : k.only_for->values) {
      EXPECT_EQ(std::count(decider.choices.begin(), decider.choices.end(), value), 1) << value;
    }
  }
}

TEST(Keys, SayTheirDefaultsAsTheyWouldBeWritten) {
  EXPECT_EQ(key("rules", "free_line_clearance").standard, "25");
  EXPECT_EQ(key("part", "shape").standard, "\"box\"");
  EXPECT_EQ(key("part", "file_unit").standard, "\"mm\"");
  EXPECT_EQ(key("part", "file_up").standard, "\"Z\"");
  EXPECT_EQ(key("part", "at").standard, "[0, 0, 0]");
  EXPECT_EQ(key("part", "present").standard, "true");
  EXPECT_EQ(key("joint", "carries").standard, "\"tool\"");
  EXPECT_EQ(key("frame", "arrangement").standard, "\"moving gantry\"");
  EXPECT_EQ(key("article", "purchase_step").standard, "100");
}

TEST(Keys, SayWhatIsAllowedInTheUnitOfTheFile) {
  EXPECT_EQ(allowed_text(key("part", "size")),
            "3 numbers [x, y, z] in mm, each more than 0, at most 100000");
  EXPECT_EQ(allowed_text(key("part", "size"), true),
            "3 numbers [x, y, z] in inches, each more than 0, at most 3937");
  EXPECT_EQ(allowed_text(key("article", "core_area"), true), "a number in mm^2, from 0 to 1000");
}

TEST(Keys, AreFilteredByNameAndMeaning) {
  const std::string all = keys_text();
  for (const Key& k : all_keys()) EXPECT_NE(all.find("  " + k.name + "\n"), std::string::npos);
  const std::string bend = keys_text("BEND_RADIUS");
  EXPECT_NE(bend.find("[[chain]]"), std::string::npos);
  EXPECT_NE(bend.find("[[run.leg]]"), std::string::npos);
  EXPECT_EQ(bend.find("[frame]"), std::string::npos);
  EXPECT_NE(keys_text("iron meets iron").find("  stops\n"), std::string::npos);
  EXPECT_TRUE(keys_text("no key is called so").empty());
}

TEST(Keys, PrintTheCheckedInDocumentation) {
  EXPECT_EQ(file_text("docs/plan-file.md"), keys_markdown())
      << "docs/plan-file.md is out of date; make it anew: bight keys --markdown > "
         "docs/plan-file.md";
}

/// Paths of all keys that stand in a table of a file.
void collect(const Value& table, const std::string& path, std::set<std::string>& keys) {
  for (const Entry& entry : table.entries) {
    const std::string inner = path.empty() ? entry.key : path + "." + entry.key;
    keys.insert(inner);
    if (entry.value.kind == Value::Kind::table) collect(entry.value, inner, keys);
    for (const Value& item : entry.value.items) {
      if (item.kind == Value::Kind::table) collect(item, inner, keys);
    }
  }
}

TEST(Keys, AllStandInTheGoodPlanOfTheCorpus) {
  Diagnostics diagnostics;
  const auto root =
      parse_toml(file_text("tests/corpus/plan/good/every_key.toml"), "every_key", diagnostics);
  ASSERT_TRUE(root);
  std::set<std::string> written;
  collect(*root, "", written);
  for (const Key& k : all_keys()) {
    const std::string path = k.table.empty() ? k.name : k.table + "." + k.name;
    EXPECT_TRUE(written.count(path)) << path << " is missing in every_key.toml";
  }
}

}  // namespace
}  // namespace bight::plan
