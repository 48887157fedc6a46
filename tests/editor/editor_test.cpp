#include "editor/editor.h"

#include "editor_fixture.h"

namespace bight::editor {
namespace {

/// The starter plan in an editor without background.
struct Opened {
  Editor editor{without_background()};
  Opened() { EXPECT_EQ(editor.start_new({}), ""); }
};

std::string value_at(const Editor& editor, const std::string& path) {
  const plan::KeyState* key = plan::find_key(editor.document(), path);
  return key == nullptr ? "no such key" : key->value;
}

TEST(Editor, UndoneToTheStartHasTheSameBytesAndRedoneAgain) {
  Opened o;
  const std::string start = o.editor.text();
  ASSERT_EQ(o.editor.apply(SetValue{"support.ceiling hook.max_load", "55"}), "");
  ASSERT_EQ(o.editor.apply(AddElement{{"part", "", {{"name", "\"box\""}}, 0}}), "");
  ASSERT_EQ(o.editor.apply(RenameElement{"support.ceiling hook", "rafter"}), "");
  ASSERT_EQ(o.editor.apply(DuplicateElement{"part.box", ""}), "");
  ASSERT_EQ(o.editor.apply(MoveElement{"part.box 2", 1}), "");
  ASSERT_EQ(o.editor.apply(RemoveElement{"part.box"}), "");
  ASSERT_EQ(o.editor.apply(RemoveValue{"support.rafter.max_load"}), "");
  ASSERT_EQ(o.editor.add_option("other"), "");
  const std::string end = o.editor.text();
  EXPECT_FALSE(o.editor.broken());
  int steps = 0;
  while (o.editor.undo().empty()) ++steps;
  EXPECT_EQ(steps, 8);
  EXPECT_EQ(o.editor.text(), start);
  EXPECT_EQ(o.editor.option(), "");
  while (o.editor.redo().empty()) --steps;
  EXPECT_EQ(steps, 0);
  EXPECT_EQ(o.editor.text(), end);
  EXPECT_EQ(o.editor.option(), "other");
}

TEST(Editor, KeepsEveryCommentOfThePlan) {
  Editor editor(without_background());
  ASSERT_EQ(editor.open(k_demo), "");
  ASSERT_EQ(editor.apply(SetValue{"part.bench.size", "[1200, 900, 700]"}), "");
  ASSERT_EQ(editor.apply(RenameElement{"part.mast", "pole"}), "");
  const auto comments = [](const std::string& text) {
    return std::count(text.begin(), text.end(), '#');
  };
  EXPECT_EQ(comments(editor.text()), comments(text_of(k_demo)));
  EXPECT_FALSE(editor.broken());
}

TEST(Editor, RefusesValuesOutOfTheirRangeAndSaysWhatIsAllowed) {
  Opened o;
  const std::string before = o.editor.text();
  EXPECT_NE(o.editor.apply(SetValue{"rules.spare_percent", "-1"}).find("from 0 to 100"),
            std::string::npos);
  EXPECT_NE(o.editor.apply(SetValue{"part.arm.shape", "\"ball\""}), "");
  EXPECT_NE(o.editor.apply(SetValue{"part.nowhere.at", "[0, 0, 0]"}), "");
  EXPECT_NE(o.editor.apply(SetValue{"part.arm.size", "[1, 2"}), "");
  EXPECT_EQ(o.editor.text(), before);
  EXPECT_EQ(o.editor.undo_name(), "");
}

TEST(Editor, EditsOfAChosenOptionChangeThatOptionAlone) {
  Opened o;
  const std::string option = o.editor.options().back();
  ASSERT_EQ(o.editor.choose_option(option), "");
  const std::string before = value_at(o.editor, "support.ceiling hook.at");
  ASSERT_EQ(o.editor.apply(SetValue{"support.ceiling hook.at", "[700, 500, 1500]"}), "");
  EXPECT_EQ(value_at(o.editor, "support.ceiling hook.at"), "[700, 500, 1500]");
  EXPECT_EQ(o.editor.model()->plan.supports[0].at, Vec3(700.0, 500.0, 1500.0));
  ASSERT_EQ(o.editor.choose_option(""), "");
  EXPECT_EQ(value_at(o.editor, "support.ceiling hook.at"), before);

  // A part added in an option is not there in the others; one removed stays in them.
  ASSERT_EQ(o.editor.choose_option(option), "");
  ASSERT_EQ(o.editor.apply(AddElement{{"part", "", {{"name", "\"shelf\""}}, 0}}), "");
  ASSERT_EQ(o.editor.apply(RemoveElement{"part.arm"}), "");
  const auto has = [&](const std::string& name) {
    const auto& parts = o.editor.model()->machine.parts;
    return std::any_of(parts.begin(), parts.end(), [&](const auto& p) { return p.name == name; });
  };
  EXPECT_TRUE(has("shelf"));
  EXPECT_FALSE(has("arm"));
  ASSERT_EQ(o.editor.choose_option(""), "");
  EXPECT_FALSE(has("shelf"));
  EXPECT_TRUE(has("arm"));
  ASSERT_EQ(o.editor.choose_option(option), "");
  EXPECT_NE(o.editor.apply(RemoveElement{"anchor.outlet"}), "");
  EXPECT_NE(o.editor.apply(RemoveValue{"anchor.outlet.at"}), "");
  ASSERT_EQ(o.editor.apply(RemoveValue{"support.ceiling hook.at"}), "");
  EXPECT_EQ(value_at(o.editor, "support.ceiling hook.at"), before);
}

TEST(Editor, OptionsAreCopiedRenamedAndRemovedAndUndoGoesBackToTheChosenOne) {
  Opened o;
  const std::string first = o.editor.options().at(1);
  ASSERT_EQ(o.editor.choose_option(first), "");
  ASSERT_EQ(o.editor.add_option("copy"), "");
  EXPECT_EQ(o.editor.option(), "copy");
  ASSERT_EQ(o.editor.apply(RenameElement{"option.copy", "third way"}), "");
  EXPECT_EQ(o.editor.option(), "third way");
  ASSERT_EQ(o.editor.apply(RemoveElement{"option.third way"}), "");
  EXPECT_EQ(o.editor.option(), "");
  ASSERT_EQ(o.editor.undo(), "");
  EXPECT_EQ(o.editor.option(), "third way");
  EXPECT_NE(o.editor.add_option("third way"), "");
  EXPECT_NE(o.editor.choose_option("no such"), "");
}

TEST(Editor, ADragIsOneStepAndFollowedLive) {
  Opened o;
  const std::string start = o.editor.text();
  ASSERT_EQ(o.editor.begin_drag("support.ceiling hook"), "");
  const Vec3 from = o.editor.model()->plan.supports[0].at;
  for (int i = 1; i <= 8; ++i) {
    const SnappedPlace place =
        o.editor.drag_to(from + Vec3(10.0 * i, 0.0, 0.0), {}, {.step_mm = 5.0, .to_things = false});
    EXPECT_EQ(o.editor.model()->plan.supports[0].at.x, place.at.x);
    EXPECT_EQ(o.editor.undo_name(), "");
  }
  ASSERT_EQ(o.editor.end_drag(), "");
  EXPECT_EQ(o.editor.model()->plan.supports[0].at, from + Vec3(80.0, 0.0, 0.0));
  EXPECT_EQ(o.editor.undo_name(), "move ceiling hook");
  ASSERT_EQ(o.editor.undo(), "");
  EXPECT_EQ(o.editor.text(), start);

  ASSERT_EQ(o.editor.begin_drag("part.arm"), "");
  o.editor.drag_to({0.0, 0.0, 2000.0});
  EXPECT_NE(o.editor.text(), start);
  o.editor.cancel_drag();
  EXPECT_EQ(o.editor.text(), start);
}

TEST(Editor, ADraggedHandleKeepsToItsDirectionAndMovesWithThePose) {
  Opened o;
  o.editor.go_corner(1);  // the first joint high
  const auto handles = o.editor.handles();
  const auto arm = std::find_if(handles.begin(), handles.end(),
                                [](const Handle& h) { return h.id == "part.arm"; });
  ASSERT_NE(arm, handles.end());
  const double travel = o.editor.joints()[0].high;
  const auto& parts = o.editor.model()->plan.parts;
  const auto plain =
      std::find_if(parts.begin(), parts.end(), [](const plan::Part& p) { return p.name == "arm"; });
  const Vec3 at = plain->at;
  EXPECT_NEAR(arm->at.x, at.x + travel, 1e-9);
  ASSERT_EQ(o.editor.begin_drag("part.arm"), "");
  o.editor.drag_to(arm->at + Vec3(3.0, 40.0, 7.0), Vec3(0.0, 1.0, 0.0),
                   {.step_mm = 0.0, .to_things = false});
  o.editor.end_drag();
  const auto& moved = o.editor.model()->plan.parts;
  const auto now =
      std::find_if(moved.begin(), moved.end(), [](const plan::Part& p) { return p.name == "arm"; });
  EXPECT_NEAR(glm::length(now->at - (at + Vec3(0.0, 40.0, 0.0))), 0.0, 1e-4);
}

TEST(Editor, ABrokenTextKeepsTheLastGoodMachineAndSaysWhatIsWrong) {
  Opened o;
  const auto good = o.editor.model();
  const std::string start = o.editor.text();
  ASSERT_EQ(o.editor.set_text(start + "\n[[part]\n"), "");
  EXPECT_TRUE(o.editor.broken());
  EXPECT_FALSE(o.editor.diagnostics().empty());
  EXPECT_EQ(o.editor.model(), good);
  EXPECT_NE(o.editor.begin_drag("part.arm"), "");
  EXPECT_NE(o.editor.apply(SetValue{"part.arm.at", "[0, 0, 0]"}), "");
  ASSERT_EQ(o.editor.undo(), "");
  EXPECT_FALSE(o.editor.broken());
  EXPECT_EQ(o.editor.text(), start);
}

TEST(Editor, ThePoseStaysInTheTravelAndOverEdits) {
  Opened o;
  o.editor.set_pose({1e9, 300.0, std::nan("")});
  EXPECT_EQ(o.editor.pose()[0], o.editor.joints()[0].high);
  EXPECT_EQ(o.editor.pose()[1], 300.0);
  ASSERT_EQ(o.editor.apply(SetValue{"rules.spare_percent", "7"}), "");
  EXPECT_EQ(o.editor.pose()[1], 300.0);
  ASSERT_EQ(o.editor.apply(SetValue{"joint.Y.travel", "[0, 200]"}), "");
  EXPECT_EQ(o.editor.pose()[1], 200.0);
  o.editor.go_home();
  EXPECT_EQ(o.editor.pose(), (std::vector<double>{0.0, 0.0, 0.0}));
  o.editor.go_corner(6);
  EXPECT_EQ(o.editor.pose()[0], o.editor.joints()[0].low);
  EXPECT_EQ(o.editor.pose()[1], o.editor.joints()[1].high);
}

TEST(Editor, TheSelectionFollowsANameAndGoesToWhatIsNew) {
  Opened o;
  o.editor.select_thing("arm");
  EXPECT_EQ(o.editor.selected(), "part.arm");
  ASSERT_EQ(o.editor.apply(RenameElement{"part.arm", "boom"}), "");
  EXPECT_EQ(o.editor.selected(), "part.boom");
  ASSERT_EQ(o.editor.apply(DuplicateElement{"part.boom", ""}), "");
  EXPECT_EQ(o.editor.selected(), "part.boom 2");
  EXPECT_EQ(o.editor.highlighted(), std::vector<std::string>{"boom 2"});
  ASSERT_EQ(o.editor.undo(), "");
  EXPECT_EQ(o.editor.selected(), "");
  o.editor.select_thing("beam");  // made by the frame
  EXPECT_EQ(o.editor.selected(), "frame");
}

TEST(Editor, PlaysTheTourAndStopsAtItsEnd) {
  Opened o;
  o.editor.poll(0.0);
  o.editor.play(true);
  o.editor.poll(10.0);
  o.editor.poll(12.0);
  EXPECT_NEAR(o.editor.tour_time(), 2.0, 1e-9);
  EXPECT_EQ(o.editor.pose(), pose_at(o.editor.tour(), 2.0));
  o.editor.poll(1e6);
  EXPECT_FALSE(o.editor.playing());
  EXPECT_EQ(o.editor.tour_time(), o.editor.tour().duration_s);
}

TEST(Editor, AJogLeavesTheTourAndAScrubComesBack) {
  Opened o;
  EXPECT_TRUE(o.editor.on_tour());
  o.editor.scrub(3.0);
  EXPECT_TRUE(o.editor.on_tour());
  o.editor.set_joint(0, o.editor.pose()[0] + 1.0);
  EXPECT_FALSE(o.editor.on_tour());
  o.editor.scrub(o.editor.tour_time());
  EXPECT_TRUE(o.editor.on_tour());
}

}  // namespace
}  // namespace bight::editor
