// docs/json.md names every key that the program prints.

#include <regex>
#include <set>

#include "run_bight.h"

namespace bight::cli {
namespace {

const std::string k_demos = std::string("\"") + BIGHT_SOURCE_DIR + "/assets/demo/";

/// All keys of a document, except those of poses: joint names belong to the plan.
void collect(const nlohmann::json& json, std::set<std::string>& keys) {
  if (json.is_array()) {
    for (const auto& element : json) collect(element, keys);
  }
  if (!json.is_object()) return;
  for (const auto& [key, value] : json.items()) {
    keys.insert(key);
    const bool is_pose = key == "home" || key == "pose" ||
                         (key.size() > 5 && key.compare(key.size() - 5, 5, "_pose") == 0);
    if (!is_pose) collect(value, keys);
  }
}

/// The words in back quotes of docs/json.md, without the brackets that mark a list.
std::set<std::string> documented() {
  std::ifstream file(std::string(BIGHT_SOURCE_DIR) + "/docs/json.md");
  const std::string text(std::istreambuf_iterator<char>(file), {});
  std::set<std::string> words;
  const std::regex quoted("`([A-Za-z0-9_]+)(\\[\\])?`");
  for (std::sregex_iterator it(text.begin(), text.end(), quoted), end; it != end; ++it) {
    words.insert((*it)[1]);
  }
  return words;
}

TEST(JsonKeys, EveryKeyThatIsPrintedIsDocumented) {
  const std::set<std::string> words = documented();
  ASSERT_GT(words.size(), 100U);
  for (const std::string& arguments :
       {"check " + k_demos + "plan.toml\"", "check " + k_demos + "meshes.toml\"",
        "check " + k_demos + "moving-table.toml\"", "check " + k_demos + "inch.toml\"",
        "lengths " + k_demos + "plan.toml\"", "reach " + k_demos + "plan.toml\"",
        "compare " + k_demos + "plan.toml\"", "suggest " + k_demos + "plan.toml\"",
        "hooks " + k_demos + "plan.toml\" --option \"hung from the rafter\"",
        std::string("calc hang --dx 2000 --dz 0 --length 2200 --mass 0.1"),
        std::string("calc hang --dx 300 --dz 400 --length 480 --mass 0.1"),
        std::string("calc hang --dx 800 --dz 0 --length 1200 --mass 0.1 --stiffness 0.05"),
        std::string("calc hang --dx 800 --dz 0 --length 600 --mass 0.1 --stiffness 0.05"),
        std::string("calc hang --length 700 --mass 0.1 --stiffness 0.05 --free-end "
                    "--start-angle 90"),
        std::string("calc hang --dx 900 --dz 0 --length 1600 --mass 0.1 --stiffness 0.05 --floor "
                    "300"),
        std::string("calc chain --travel 800 --radius 60 --pitch 20 --mass 1.7"),
        std::string("calc bundle 10 8 6"),
        std::string("calc drop --voltage 24 --current 1 --length 1000 --area 0.75"),
        std::string("calc droop --overhang 400 --droop 50 --mass 0.1")}) {
    const Output output = run_bight(arguments + " --json");
    const auto json = nlohmann::json::parse(output.out, nullptr, false);
    ASSERT_FALSE(json.is_discarded()) << arguments << "\n" << output.out << output.err;
    std::set<std::string> keys;
    collect(json, keys);
    EXPECT_FALSE(keys.empty()) << arguments;
    for (const std::string& key : keys) {
      EXPECT_TRUE(words.contains(key)) << arguments << " prints \"" << key << "\"";
    }
  }
}

TEST(JsonKeys, ReachAndCheckBeginAlikeAndAgree) {
  const std::string plan = k_demos + "plan.toml\"";
  const auto check = run_json("check " + plan, 1);
  const auto reach = run_json("reach " + plan, 1);
  for (const char* key :
       {"format", "plan", "name", "currency", "home", "work_offset", "cautions"}) {
    EXPECT_EQ(reach[key], check[key]) << key;
  }
  ASSERT_EQ(reach["options"].size(), check["options"].size());
  for (std::size_t i = 0; i < check["options"].size(); ++i) {
    for (const char* key : {"name", "about", "verdict", "findings", "reach"}) {
      EXPECT_EQ(reach["options"][i][key], check["options"][i][key]) << key;
    }
  }
}

}  // namespace
}  // namespace bight::cli
