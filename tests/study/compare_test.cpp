// The comparison of options: every number by hand from a small plan, the ranking from made-up
// figures.

#include "study/compare.h"

#include <algorithm>

#include "plan_fixture.h"

namespace bight::study {
namespace {

/// A cord in a chain along X to the carriage, then free to the head; a hose with a plug.
std::string two_lines() {
  return small_machine() + R"(
[[chain]]
name = "chain"
moving_body = "carriage"
fixed_at = [500, 300, 0]
moving_at = [0, 300, 200]
opens = [-1, 0, 0]
bend_radius = 100
pitch = 40
links = 24
inner_width = 60
inner_height = 30
outer_width = 70
outer_height = 40
mass = 1.0
[[article]]
name = "cable"
kind = "power"
outside_diameter = 10
mass = 0.2
bend_radius_moving = 60
max_pull = 50
price = 2.0
purchase_step = 1000
[[article]]
name = "hose"
kind = "air"
outside_diameter = 8
mass = 0.1
bend_radius_moving = 40
purchase_step = 1000
[[run]]
name = "chained"
[[run.leg]]
way = "fixed"
body = "ground"
points = [[900, 300, 0], [500, 300, 0]]
[[run.leg]]
way = "chain"
chain = "chain"
[[run.leg]]
way = "free"
from = "post"
to = "boss"
slack_percent = 20
[[run]]
name = "hung"
[[run.leg]]
way = "free"
from = "hook"
to = "boss"
[[anchor]]
name = "post"
body = "carriage"
at = [-400, 300, 500]
[[anchor]]
name = "boss"
body = "head"
at = [0, 0, 300]
[[support]]
name = "hook"
at = [500, 200, 1500]
max_load = 30
[[line]]
name = "cord"
article = "cable"
run = "chained"
[[line]]
name = "air"
article = "hose"
run = "hung"
plug = true
)";
}

OptionFigures figures_of(const std::string& text) {
  Diagnostics diagnostics;
  const auto plan = plan::read_plan(text, "test.toml", "", diagnostics);
  for (const Diagnostic& d : diagnostics.items()) ADD_FAILURE() << to_text(d);
  if (!plan) return {};
  machine::MeshCache cache;
  const machine::Machine machine = machine::build_machine(*plan, cache, diagnostics);
  return option_figures(*plan, machine, run_study(*plan, machine));
}

const Margin* margin(const OptionFigures& figures, const std::string& check) {
  const auto found = std::find_if(figures.margins.begin(), figures.margins.end(),
                                  [&](const Margin& m) { return m.check == check; });
  return found == figures.margins.end() ? nullptr : &*found;
}

TEST(Compare, ChecksThatPassHaveMarginsToo) {
  const OptionFigures figures = figures_of(two_lines());
  // Shortest chain: largest offset 500 + pi R = 814.16 mm (ideal loop); 24 links of 40 mm.
  ASSERT_NE(margin(figures, "chain length"), nullptr);
  EXPECT_NEAR(margin(figures, "chain length")->margin, 960.0 - 814.159, 0.01);
  // A line at mid-height: inner radius R - d/2.
  ASSERT_NE(margin(figures, "chain bend"), nullptr);
  EXPECT_NEAR(margin(figures, "chain bend")->margin, 100.0 - 5.0 - 60.0, 1e-6);
  EXPECT_EQ(margin(figures, "chain bend")->what, "cord in chain");
  // Circle of 10 mm in 60 x 30 mm.
  ASSERT_NE(margin(figures, "chain fill"), nullptr);
  EXPECT_NEAR(margin(figures, "chain fill")->value, 100.0 * 78.5398 / 1800.0, 1e-3);
  EXPECT_EQ(margin(figures, "chain fill")->unit, "%");
  EXPECT_EQ(margin(figures, "chain room"), nullptr) << "no room is given";
  ASSERT_NE(margin(figures, "support load"), nullptr);
  EXPECT_GT(margin(figures, "support load")->margin, 0.0);
}

TEST(Compare, TheWorstOfSeveralThingsCounts) {
  std::string text = two_lines();
  text +=
      "[[line]]\nname = \"thick\"\narticle = \"thick\"\nrun = \"chained\"\n"
      "[[article]]\nname = \"thick\"\nkind = \"power\"\noutside_diameter = 16\nmass = 0.3\n"
      "bend_radius_moving = 90\n";
  const OptionFigures figures = figures_of(text);
  ASSERT_NE(margin(figures, "chain bend"), nullptr);
  EXPECT_EQ(margin(figures, "chain bend")->what, "thick in chain");
  EXPECT_LT(margin(figures, "chain bend")->margin, 5.0);
}

TEST(Compare, MovingMassCountsEachEndThatMovesByHalf) {
  const OptionFigures figures = figures_of(two_lines());
  Diagnostics diagnostics;
  const StudyResult result = study_text(two_lines());
  const double cord_free = result.lines[0].legs[2].length_mm;
  const double air_free = result.lines[1].legs[0].length_mm;
  // Chain with cord: one end on the ground, half of 0.96 m x (1.0 + 0.2) kg/m; the clipped leg on
  // the ground not at all; post to head in full; hook to head by half.
  EXPECT_NEAR(figures.moving_kg,
              0.5 * 0.96 * 1.2 + 0.2 * cord_free / 1000.0 + 0.5 * 0.1 * air_free / 1000.0, 1e-9);
}

TEST(Compare, APlugIsPulledOffAndTheRestUnthreadedByTheRules) {
  const OptionFigures figures =
      figures_of(two_lines() +
                 "[rules]\nclip_spacing = 200\nunthread_minutes_per_metre = 5\n"
                 "unclip_minutes = 1\n");
  EXPECT_EQ(figures.removal.pulled_off, std::vector<std::string>{"air"});
  EXPECT_EQ(figures.removal.unthreaded, std::vector<std::string>{"cord"});
  // 400 mm clipped every 200 mm and at the ends: 3 clips; 0.96 m of chain; two holds.
  EXPECT_NEAR(figures.removal.minutes, 3.0 * 1.0 + 0.96 * 5.0 + 2.0 * 1.0, 1e-9);
}

TEST(Compare, SharedPiecesAreDrilledOnce) {
  std::string text = two_lines();
  const Mounting one = figures_of(text).mounting;
  EXPECT_EQ(one.clips, 3U);  // 400 mm at 300 mm
  EXPECT_EQ(one.supports, 1U);
  EXPECT_EQ(one.anchors, 2U);  // the boss is shared
  EXPECT_EQ(one.brackets, 2U);
  EXPECT_EQ(one.holes, 3U * 1U + 1U * 1U + 2U * 2U + 2U * 2U);
  EXPECT_FALSE(one.from_ladder.has_value()) << "nothing says where the floor is";
  text += "[[line]]\nname = \"second\"\narticle = \"cable\"\nrun = \"chained\"\n";
  EXPECT_EQ(figures_of(text).mounting.holes, one.holes);
}

TEST(Compare, APriceThatIsNotKnownIsNotASmallOne) {
  EXPECT_FALSE(figures_of(two_lines()).price.has_value()) << "the hose has no price";
  std::string text = two_lines();
  text.replace(text.find("kind = \"air\""), 12, "kind = \"air\"\nprice = 1");
  const OptionFigures figures = figures_of(text);
  ASSERT_TRUE(figures.price.has_value());
  const StudyResult result = study_text(text);
  EXPECT_NEAR(*figures.price, (2.0 * result.lines[0].buy_mm + result.lines[1].buy_mm) / 1000.0,
              1e-9);
}

TEST(Compare, AClosedWindowHasANegativeMarginAndIsAStop) {
  std::string text = two_lines();
  text.replace(text.find("from = \"hook\""), 13, "from = \"hook\"\nkeep_above = 250");
  const OptionFigures figures = figures_of(text);
  EXPECT_EQ(figures.verdict, Verdict::stop);
  EXPECT_FALSE(figures.stops.empty());
  ASSERT_NE(margin(figures, "length window"), nullptr);
  EXPECT_LT(margin(figures, "length window")->margin, 0.0);
}

// --- ranking ---------------------------------------------------------------------------------

OptionFigures made_up(const char* name, Verdict verdict, std::size_t stops, std::size_t acts,
                      std::optional<double> price, double kg) {
  OptionFigures figures;
  figures.option = name;
  figures.verdict = verdict;
  figures.stops.assign(stops, "stop");
  figures.acts.assign(acts, "act");
  figures.price = price;
  figures.moving_kg = kg;
  return figures;
}

std::string order_of(const std::vector<OptionFigures>& options) {
  std::string order;
  for (const OptionFigures& o : compare_options(options).options) order += o.option;
  return order;
}

TEST(Compare, AStopNeverRanksAboveAnOptionWithoutOne) {
  EXPECT_EQ(order_of({made_up("a", Verdict::stop, 1, 0, 1.0, 0.1),
                      made_up("b", Verdict::act, 0, 9, 900.0, 50.0),
                      made_up("c", Verdict::clear, 0, 0, {}, 99.0)}),
            "cba");
}

TEST(Compare, EqualVerdictsRankByCountsThenPriceThenMass) {
  EXPECT_EQ(order_of({made_up("a", Verdict::stop, 2, 0, 1.0, 1.0),
                      made_up("b", Verdict::stop, 1, 5, 9.0, 9.0)}),
            "ba");
  EXPECT_EQ(order_of({made_up("a", Verdict::act, 0, 2, 1.0, 1.0),
                      made_up("b", Verdict::act, 0, 1, 9.0, 9.0)}),
            "ba");
  EXPECT_EQ(order_of({made_up("a", Verdict::clear, 0, 0, {}, 1.0),
                      made_up("b", Verdict::clear, 0, 0, 20.0, 1.0),
                      made_up("c", Verdict::clear, 0, 0, 10.0, 9.0)}),
            "cba");
  EXPECT_EQ(order_of({made_up("a", Verdict::clear, 0, 0, 10.0, 2.0),
                      made_up("b", Verdict::clear, 0, 0, 10.0, 1.0)}),
            "ba");
}

TEST(Compare, EqualOptionsKeepTheOrderOfThePlan) {
  EXPECT_EQ(order_of({made_up("z", Verdict::clear, 0, 0, 10.0, 1.0),
                      made_up("a", Verdict::clear, 0, 0, 10.0, 1.0)}),
            "za");
}

}  // namespace
}  // namespace bight::study
