// A process that edits and saves is killed at a random moment, again and again: the plan file is
// always whole, and at most the edit in flight is lost.

#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <random>

#include "editor_fixture.h"
#include "plan/read.h"

namespace bight::editor {
namespace {

constexpr const char* k_counter = "rules.clip_spacing";

std::string numbered(const std::string& text, int number) {
  return plan::set_value(text, k_counter, std::to_string(number)).text;
}

int number_in(const std::string& text) {
  const plan::Document document = plan::read_document(text);
  const plan::KeyState* key = plan::find_key(document, k_counter);
  return key == nullptr || key->value.empty() ? -1 : std::stoi(key->value);
}

/// Counts up in the plan for ever, saves now and then, and reports each edit that was made.
[[noreturn]] void edit_until_killed(const std::filesystem::path& file, const Folders& folders,
                                    int report) {
  Editor editor({.folders = folders, .threads = 1, .background = false});
  bool good = editor.open(file).empty();
  for (int i = number_in(editor.text()) + 1; good; ++i) {
    good = editor.apply(SetValue{k_counter, std::to_string(i)}).empty() &&
           ::write(report, &i, sizeof i) == sizeof i;
    if (good && i % 3 == 0) good = editor.save().empty();
  }
  ::_exit(1);
}

TEST(Recovery, TwoHundredKillsLoseAtMostTheEditInFlightAndNeverTheFile) {
  const TemporaryFolder folder;
  const auto file = folder.path() / "plan.toml";
  const std::string start = numbered(starter_text(), 1);
  write(file, start);
  std::mt19937 random(12);
  std::uniform_int_distribution<int> microseconds(0, 40000);
  int recovered = 0;
  int not_needed = 0;
  for (int kill = 0; kill < 200; ++kill) {
    int ends[2];
    ASSERT_EQ(::pipe(ends), 0);
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0) {
      ::close(ends[0]);
      edit_until_killed(file, folder.folders(), ends[1]);
    }
    ::close(ends[1]);
    int last = 0;
    ASSERT_EQ(::read(ends[0], &last, sizeof last), static_cast<ssize_t>(sizeof last));
    ::usleep(static_cast<useconds_t>(microseconds(random)));
    ASSERT_EQ(::kill(child, SIGKILL), 0);
    int status = 0;
    ASSERT_EQ(::waitpid(child, &status, 0), child);
    ASSERT_TRUE(WIFSIGNALED(status));
    for (int next = 0; ::read(ends[0], &next, sizeof next) == sizeof next;) last = next;
    ::close(ends[0]);

    const std::string saved = text_of(file);
    ASSERT_EQ(saved, numbered(start, number_in(saved))) << "the file is one of those saved";
    Editor editor({.folders = folder.folders(), .threads = 1, .background = false});
    ASSERT_EQ(editor.open(file), "");
    const auto left = editor.left_behind();
    ASSERT_LE(left.size(), 1U);
    if (left.empty()) {
      ++not_needed;
    } else {
      ++recovered;
      ASSERT_EQ(left[0].recovery.plan_file, file.string());
      ASSERT_EQ(editor.recover(left[0].file), "");
      ASSERT_TRUE(editor.left_behind().empty());
      editor.keep_mine();
    }
    const int have = number_in(editor.text());
    ASSERT_GE(have, last);
    ASSERT_LE(have, last + 1);
    ASSERT_EQ(editor.text(), numbered(start, have));
    ASSERT_EQ(editor.save(), "");
  }
  // Both kinds of moments were hit.
  EXPECT_GT(recovered, 20);
  EXPECT_GT(not_needed, 5);
}

TEST(Recovery, AFileCutShortOrOfARunningEditorIsNotOffered) {
  const TemporaryFolder folder;
  Recovery running(folder.path());
  ASSERT_EQ(running.keep({"/a/plan.toml", "old", "new"}), "");
  Recovery other(folder.path());
  EXPECT_TRUE(other.left_behind().empty());
  write(folder.path() / "1-0.plan", "bight recovery 1\n12\n3\nabc");
  write(folder.path() / "1-1.plan", "");
  EXPECT_TRUE(other.left_behind().empty());
}

}  // namespace
}  // namespace bight::editor
