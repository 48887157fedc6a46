#include "editor/section_edit.h"

#include "editor_fixture.h"

namespace bight::editor {
namespace {

struct Demo {
  Editor editor{without_background()};
  Demo() { EXPECT_EQ(editor.open(k_demo), ""); }

  ChainSection section() const { return *chain_section(*editor.model(), "X chain"); }
  Vec2 centre(const std::string& line) const {
    const ChainSection s = section();
    for (std::size_t i = 0; i < s.problem.lines.size(); ++i) {
      if (s.problem.lines[i].name == line) return s.result.lines[i].centre_mm.value();
    }
    ADD_FAILURE() << line;
    return {};
  }
  void apply(const std::vector<Edit>& edits) {
    ASSERT_FALSE(edits.empty());
    EXPECT_EQ(editor.apply_all(edits, "fill"), "");
    EXPECT_FALSE(editor.broken());
  }
};

TEST(SectionEdit, APlacedLineStandsWhereItWasPutWithItsClearance) {
  Demo d;
  ASSERT_EQ(d.section().result.status, chain::FillStatus::fits);
  const std::string line = d.section().problem.lines.front().name;
  // Far outside: it comes to rest at the wall, with its clearance.
  d.apply(place_line(*d.editor.model(), d.editor.document(), "X chain", line, {-50.0, 7.5}));
  const ChainSection s = d.section();
  EXPECT_NEAR(
      d.centre(line).x,
      0.5 * s.problem.lines[0].diameter_mm + chain::wanted_clearance(s.problem, s.problem.lines[0]),
      1e-3);
  EXPECT_GE(s.result.lines[0].clearance_mm, s.result.lines[0].wanted_clearance_mm - 1e-3);
  // A second time the same entry is changed.
  const std::size_t places = d.editor.model()->plan.chains[1].places.size();
  d.apply(place_line(*d.editor.model(), d.editor.document(), "X chain", line, {30.0, 7.5}));
  EXPECT_EQ(d.editor.model()->plan.chains[1].places.size(), places);
  d.apply(release_line(d.editor.document(), "X chain", line));
  EXPECT_TRUE(d.editor.model()->plan.chains[1].places.empty());
  EXPECT_TRUE(release_line(d.editor.document(), "X chain", line).empty());
}

TEST(SectionEdit, TwoLinesChangePlaces) {
  Demo d;
  const std::string a = d.section().problem.lines[0].name;
  const std::string b = d.section().problem.lines[1].name;
  const Vec2 at_a = d.centre(a);
  const Vec2 at_b = d.centre(b);
  d.apply(swap_lines(*d.editor.model(), d.editor.document(), "X chain", a, b));
  EXPECT_NEAR(glm::length(d.centre(a) - at_b), 0.0, 2e-3);
  EXPECT_NEAR(glm::length(d.centre(b) - at_a), 0.0, 2e-3);
}

TEST(SectionEdit, DividersAreMovedAddedAndTakenOut) {
  Demo d;
  const auto dividers = [&] { return d.editor.model()->plan.chains[1].dividers; };
  ASSERT_EQ(dividers(), (std::vector<double>{66.0, 79.0}));
  d.apply(move_divider(*d.editor.model(), "X chain", 0, 60.0));
  EXPECT_EQ(dividers(), (std::vector<double>{60.0, 79.0}));
  d.apply(add_divider(*d.editor.model(), "X chain", 30.0));
  EXPECT_EQ(dividers(), (std::vector<double>{30.0, 60.0, 79.0}));
  d.apply(remove_divider(*d.editor.model(), "X chain", 1));
  EXPECT_EQ(dividers(), (std::vector<double>{30.0, 79.0}));
  d.apply(remove_divider(*d.editor.model(), "X chain", 1));
  d.apply(remove_divider(*d.editor.model(), "X chain", 0));
  EXPECT_TRUE(dividers().empty());
  EXPECT_TRUE(move_divider(*d.editor.model(), "X chain", 0, 5.0).empty());
  EXPECT_TRUE(add_divider(*d.editor.model(), "no chain", 5.0).empty());
}

}  // namespace
}  // namespace bight::editor
