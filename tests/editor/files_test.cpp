#include "editor_fixture.h"

namespace bight::editor {
namespace {

/// A plan in a folder of its own, open in an editor.
struct OpenFile {
  TemporaryFolder folder;
  std::filesystem::path file = folder.path() / "plan.toml";
  Editor editor{{.folders = folder.folders(), .background = false}};
  double now = 0.0;

  OpenFile() {
    write(file, starter_text());
    EXPECT_EQ(editor.open(file), "");
  }
  /// Time passes in which the disk is looked at.
  void look() { editor.poll(now += 10.0); }
  /// What another program does.
  void write_there(const std::string& text) {
    write(file, text);
    std::filesystem::last_write_time(
        file, std::filesystem::file_time_type::clock::now() + std::chrono::seconds(++writes_));
    look();
  }

 private:
  int writes_ = 0;
};

const SetValue k_edit{"rules.spare_percent", "9"};

TEST(Files, AFileIsOpenedAtTheOptionThatIsNamedOrAtItsFirst) {
  Editor editor(without_background());
  ASSERT_EQ(editor.open(k_demo), "");
  EXPECT_EQ(editor.option(), "");
  const std::vector<std::string> options = editor.options();
  ASSERT_GT(options.size(), 2U);
  ASSERT_EQ(editor.open(k_demo, std::nullopt), "");
  EXPECT_EQ(editor.option(), options[1]);
  ASSERT_EQ(editor.open(k_demo, options[2]), "");
  EXPECT_EQ(editor.option(), options[2]);
  EXPECT_EQ(editor.open(k_demo, "no such way"), "there is no option \"no such way\"");
  EXPECT_EQ(editor.option(), "");
  EXPECT_NE(editor.model(), nullptr);
}

TEST(Files, SavingKeepsThePreviousFileAndThePlanIsUnchangedUntilThen) {
  OpenFile o;
  const std::string before = text_of(o.file);
  EXPECT_EQ(o.editor.file_state(), FileState::same);
  ASSERT_EQ(o.editor.apply(k_edit), "");
  EXPECT_EQ(o.editor.file_state(), FileState::changed_here);
  EXPECT_EQ(text_of(o.file), before);
  ASSERT_EQ(o.editor.save(), "");
  EXPECT_EQ(o.editor.file_state(), FileState::same);
  EXPECT_EQ(text_of(o.file), o.editor.text());
  EXPECT_EQ(text_of(o.file.string() + "~"), before);
  ASSERT_EQ(o.editor.undo(), "");
  EXPECT_TRUE(o.editor.unsaved());
}

TEST(Files, AFileChangedOutsideIsReloadedAndThatCanBeUndone) {
  OpenFile o;
  const std::string mine = o.editor.text();
  o.write_there(mine + "# by another program\n");
  EXPECT_EQ(o.editor.file_state(), FileState::changed_there);
  EXPECT_NE(o.editor.save(), "");
  ASSERT_EQ(o.editor.reload(), "");
  EXPECT_EQ(o.editor.text(), mine + "# by another program\n");
  EXPECT_EQ(o.editor.file_state(), FileState::same);
  ASSERT_EQ(o.editor.undo(), "");
  EXPECT_EQ(o.editor.text(), mine);
}

TEST(Files, WhenBothChangedNothingIsOverwrittenWithoutBeingAsked) {
  OpenFile o;
  ASSERT_EQ(o.editor.apply(k_edit), "");
  const std::string there = text_of(o.file) + "# by another program\n";
  o.write_there(there);
  EXPECT_EQ(o.editor.file_state(), FileState::changed_both);
  EXPECT_NE(o.editor.save(), "");
  EXPECT_EQ(text_of(o.file), there);
  o.editor.keep_mine();
  EXPECT_EQ(o.editor.file_state(), FileState::changed_here);
  ASSERT_EQ(o.editor.save(), "");
  EXPECT_EQ(text_of(o.file), o.editor.text());
}

TEST(Files, ABrokenTextFromOutsideKeepsTheMachine) {
  OpenFile o;
  const auto good = o.editor.model();
  o.write_there("format = 1\n[[part]\n");
  ASSERT_EQ(o.editor.reload(), "");
  EXPECT_TRUE(o.editor.broken());
  EXPECT_EQ(o.editor.model(), good);
  EXPECT_GT(o.editor.diagnostics().size(), 0U);
}

TEST(Files, AFileThatIsGoneIsSaidAndSavedAgain) {
  OpenFile o;
  std::filesystem::remove(o.file);
  o.look();
  EXPECT_EQ(o.editor.file_state(), FileState::gone);
  ASSERT_EQ(o.editor.save(), "");
  EXPECT_EQ(o.editor.file_state(), FileState::same);
}

TEST(Files, ADroppedPlanOpensAndADroppedMeshBecomesAPart) {
  OpenFile o;
  const auto other = o.folder.path() / "other.toml";
  write(other, starter_text() + "# other\n");
  ASSERT_EQ(o.editor.drop(other), "");
  EXPECT_EQ(o.editor.file(), other);
  const auto mesh = o.folder.path() / "bracket v1.2.stl";
  write(mesh,
        "solid s\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 10 0 0\nvertex 0 10 "
        "0\nendloop\nendfacet\nendsolid s\n");
  ASSERT_EQ(o.editor.drop(mesh), "");
  EXPECT_EQ(plan::find_key(o.editor.document(), "part.bracket v1 2.file")->value,
            "\"bracket v1.2.stl\"");
  EXPECT_FALSE(o.editor.broken());
  write(o.folder.path() / "notes.txt", "no mesh");
  const std::string before = o.editor.text();
  EXPECT_NE(o.editor.drop(o.folder.path() / "notes.txt"), "");
  EXPECT_NE(o.editor.drop(o.folder.path() / "nothing.stl"), "");
  EXPECT_EQ(o.editor.text(), before);
}

TEST(Files, OpeningWhatCannotBeReadLeavesTheOpenPlan) {
  OpenFile o;
  EXPECT_NE(o.editor.open(o.folder.path() / "nothing.toml"), "");
  EXPECT_NE(o.editor.open(o.folder.path()), "");
  EXPECT_EQ(o.editor.file(), o.file);
}

TEST(Files, SaveAsGoesOnInTheNewFile) {
  OpenFile o;
  ASSERT_EQ(o.editor.apply(k_edit), "");
  const auto copy = o.folder.path() / "copy.toml";
  ASSERT_EQ(o.editor.save_as(copy), "");
  EXPECT_EQ(o.editor.file(), copy);
  EXPECT_NE(text_of(copy), text_of(o.file));
  EXPECT_EQ(o.editor.settings().recent.front(), copy.string());
  EXPECT_NE(o.editor.save_as(o.folder.path() / "no folder" / "x.toml"), "");
  EXPECT_EQ(o.editor.file(), copy);
}

TEST(Settings, AreWrittenAtTheEndAtTheLatest) {
  const TemporaryFolder folder;
  {
    Editor editor({.folders = folder.folders(), .background = false});
    Settings settings = editor.settings();
    settings.tour_speed = 2.5;
    editor.set_settings(settings);
  }
  EXPECT_EQ(load_settings(folder.folders().config).tour_speed, 2.5);
}

TEST(Settings, SurviveARestartAndABrokenFile) {
  const TemporaryFolder folder;
  Settings settings;
  settings.unit = LengthUnit::inch;
  settings.scheme = Scheme::dark;
  settings.ui_scale = 1.5;
  settings.snap_mm = 5.0;
  for (int i = 0; i < 20; ++i) settings = with_recent(settings, "/a/" + std::to_string(i));
  ASSERT_EQ(save_settings(folder.path() / "deep" / "bight", settings), "");
  const Settings again = load_settings(folder.path() / "deep" / "bight");
  EXPECT_EQ(again.unit, LengthUnit::inch);
  EXPECT_EQ(again.scheme, Scheme::dark);
  EXPECT_EQ(again.ui_scale, 1.5);
  EXPECT_EQ(again.snap_mm, 5.0);
  ASSERT_EQ(again.recent.size(), k_recent_limit);
  EXPECT_EQ(again.recent.front(), "/a/19");

  write(folder.path() / "settings", std::string("ui_scale=nan\nscheme=\0\xff\nunit=in\nsnap", 32));
  const Settings broken = load_settings(folder.path());
  EXPECT_EQ(broken.ui_scale, 0.0);
  EXPECT_EQ(broken.scheme, Scheme::light);
  EXPECT_EQ(broken.snap_mm, Settings{}.snap_mm);
}

TEST(Settings, LieWhereXdgSays) {
  ::setenv("XDG_CONFIG_HOME", "/x/config", 1);
  ::setenv("XDG_STATE_HOME", "not absolute", 1);  // to be ignored, says the specification
  ::setenv("HOME", "/home/someone", 1);
  const Folders folders = user_folders();
  EXPECT_EQ(folders.config, "/x/config/bight");
  EXPECT_EQ(folders.state, "/home/someone/.local/state/bight");
  ::unsetenv("XDG_CONFIG_HOME");
  ::unsetenv("XDG_STATE_HOME");
}

}  // namespace
}  // namespace bight::editor
