#include "editor/drawn_things.h"

#include <gtest/gtest.h>

namespace bight::editor {
namespace {

TEST(DrawnThings, ARunStandsForItsLinesABodyForItsPartsAndSwitches) {
  plan::Plan plan;
  plan.lines.resize(3);
  plan.lines[0].name = "power";
  plan.lines[0].run = "overhead";
  plan.lines[0].article = "4 x 1.5";
  plan.lines[1].name = "air";
  plan.lines[1].run = "overhead";
  plan.lines[2].name = "left out";
  plan.lines[2].run = "overhead";
  plan.lines[2].present = false;
  plan.parts.resize(1);
  plan.parts[0].name = "plate";
  plan.parts[0].body = "head";
  plan.switches.resize(1);
  plan.switches[0].name = "Z switch";
  plan.switches[0].body = "head";
  using Names = std::vector<std::string>;
  EXPECT_EQ(drawn_things(plan, {"overhead"}), (Names{"overhead", "power", "air"}));
  EXPECT_EQ(drawn_things(plan, {"4 x 1.5", "power"}), (Names{"4 x 1.5", "power"}));
  EXPECT_EQ(drawn_things(plan, {"head"}), (Names{"head", "plate", "Z switch"}));
  EXPECT_EQ(drawn_things(plan, {}), Names{});
}

}  // namespace
}  // namespace bight::editor
