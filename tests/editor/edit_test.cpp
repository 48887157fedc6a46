#include "editor/edit.h"

#include "editor/key_value.h"
#include "editor/new_element.h"
#include "editor_fixture.h"
#include "plan/read.h"

namespace bight::editor {
namespace {

const plan::Key& key(const std::string& table, const std::string& name) {
  for (const plan::Key& k : plan::all_keys()) {
    if (k.table == table && k.name == name) return k;
  }
  ADD_FAILURE() << table << "." << name;
  return plan::all_keys().front();
}

TEST(AddElement, EveryTableOfThePlanCanBeAddedAndMostReadAtOnce) {
  const std::string text = starter_text();
  int good = 0;
  int all = 0;
  for (const plan::KeyTable& table : plan::all_key_tables()) {
    if (table.path.empty()) continue;
    const std::size_t dot = table.path.rfind('.');
    std::string parent;
    const plan::Document document = plan::read_document(text);
    if (dot != std::string::npos) {
      for (const plan::Element& e : document.elements) {
        const bool has = plan::find_element(document, e.path + table.path.substr(dot)) != nullptr &&
                         plan::find_element(document, e.path + table.path.substr(dot))->in_file;
        if (e.table->path == table.path.substr(0, dot) && !has) parent = e.path;
      }
    }
    const plan::Element* single = plan::find_element(document, table.path);
    if (!table.repeated && single != nullptr && single->in_file) continue;
    const plan::Patched patched = edited_text(text, "", AddElement{{table.path, parent, {}, 0}});
    ASSERT_EQ(patched.problem, "") << table.path;
    Diagnostics diagnostics;
    ++all;
    if (plan::read_plan(patched.text, "", "", diagnostics)) ++good;
  }
  // What hangs together with other elements cannot be right by itself.
  EXPECT_GE(all, 12);
  EXPECT_GE(3 * good, 2 * all);
}

TEST(AddElement, AsksOnlyForWhatItsKindNeeds) {
  const plan::Document document = plan::read_document(starter_text());
  const auto values =
      starting_values(document, "part", {{"name", "\"pole\""}, {"shape", "\"cylinder\""}});
  std::vector<std::string> keys;
  for (const plan::PathValue& v : values) keys.push_back(v.path);
  EXPECT_EQ(keys, (std::vector<std::string>{"name", "shape", "diameter", "length"}));
}

TEST(FreeName, CountsUpAndKeepsClearOfNamesThatShareASpace) {
  const plan::Document document = plan::read_document(
      "[[part]]\nname = \"a\"\n[[part]]\nname = \"a 2\"\n[[body]]\nname = \"b\"\n");
  EXPECT_EQ(free_name(document, "part", "a"), "a 3");
  EXPECT_EQ(free_name(document, "part", "a 2"), "a 3");
  EXPECT_EQ(free_name(document, "chain", "b"), "b 2");
  EXPECT_EQ(free_name(document, "line", "b"), "b");
}

TEST(KeyValue, EveryValueOfTheDemoIsTakenApartAndPutTogetherAgain) {
  const plan::Document document = plan::read_document(text_of(k_demo));
  std::size_t values = 0;
  for (const plan::Element& element : document.elements) {
    for (const plan::KeyState& state : element.keys) {
      if (state.origin != plan::Origin::file) continue;
      ++values;
      const KeyValue value = parse_value(*state.key, state.value);
      EXPECT_EQ(problem_of(*state.key, value, false), "") << state.path << " " << state.value;
      const KeyValue again = parse_value(*state.key, format_value(*state.key, value));
      EXPECT_EQ(again.numbers, value.numbers) << state.path;
      EXPECT_EQ(again.words, value.words) << state.path;
      EXPECT_EQ(again.flag, value.flag) << state.path;
    }
  }
  EXPECT_GT(values, 500U);
}

TEST(KeyValue, RefusesWhatMayNotStandThere) {
  const auto problem = [](const plan::Key& k, const char* toml, bool inches = false) {
    return problem_of(k, parse_value(k, toml), inches);
  };
  EXPECT_NE(problem(key("part", "size"), "[1, 2]"), "");
  EXPECT_NE(problem(key("part", "size"), "[1, 0, 1]"), "");
  EXPECT_NE(problem(key("part", "size"), "\"big\""), "");
  EXPECT_NE(problem(key("joint", "travel"), "[5, 1]"), "");
  EXPECT_NE(problem(key("chain", "opens"), "[0, 0, 0]"), "");
  EXPECT_NE(problem(key("chain", "links"), "2.5"), "");
  EXPECT_NE(problem(key("part", "name"), "\"a.b\""), "");
  EXPECT_EQ(problem(key("part", "present"), "false"), "");
  // 5000 in are more than 100 m.
  EXPECT_EQ(problem(key("part", "at"), "[5000, 0, 0]"), "");
  EXPECT_NE(problem(key("part", "at"), "[5000, 0, 0]", true), "");
}

TEST(KeyValue, ShowsLengthsInTheUnitAskedFor) {
  EXPECT_EQ(shown_factor(key("part", "at"), 0, true, LengthUnit::mm), 25.4);
  EXPECT_EQ(shown_factor(key("article", "mass"), 0, true, LengthUnit::mm), 1.0);
  EXPECT_EQ(shown_factor(key("chain", "load_span"), 0, true, LengthUnit::mm), 1.0);
  EXPECT_EQ(shown_factor(key("chain", "load_span"), 1, true, LengthUnit::mm), 25.4);
  EXPECT_EQ(unit_word(key("joint", "speed"), 0, LengthUnit::inch), "in/min");
}

}  // namespace
}  // namespace bight::editor
