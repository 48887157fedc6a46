#include "editor/worker.h"

#include <atomic>

#include "editor/latest_task.h"
#include "editor_fixture.h"

namespace bight::editor {
namespace {

template <typename Condition>
bool comes_true(const Condition& condition) {
  for (int i = 0; i < 60000; ++i) {
    if (condition()) return true;
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
  return false;
}

TEST(Worker, ChecksTheOptionsInOrderAsTheStudyDoes) {
  std::atomic<int> woken{0};
  Worker worker([&] { ++woken; });
  const std::string option = "cord in the chains";
  worker.request({5, starter_text(), "", {option, ""}, 1});
  std::vector<CheckedOption> results;
  ASSERT_TRUE(comes_true([&] {
    for (CheckedOption& r : worker.take()) results.push_back(std::move(r));
    return results.size() == 2;
  }));
  EXPECT_EQ(results[0].option, option);
  EXPECT_EQ(results[1].option, "");
  EXPECT_EQ(results[0].generation, 5U);
  const study::StudyResult again =
      study::run_study(results[1].model->plan, results[1].model->machine);
  ASSERT_EQ(results[1].study->findings.size(), again.findings.size());
  EXPECT_EQ(results[1].study->verdict, again.verdict);
  EXPECT_TRUE(comes_true([&] { return !worker.state().running; }));
  EXPECT_GE(woken.load(), 2);
}

TEST(Worker, ANewerRequestReplacesTheOneThatRuns) {
  Worker worker;
  for (std::uint64_t i = 1; i <= 20; ++i) {
    worker.request({i, starter_text(), "", {""}, 1});
    std::this_thread::sleep_for(std::chrono::microseconds(300));
  }
  std::uint64_t last = 0;
  ASSERT_TRUE(comes_true([&] {
    for (const CheckedOption& r : worker.take()) {
      EXPECT_GT(r.generation, last);  // never an older one after a newer
      last = r.generation;
    }
    return last == 20;
  }));
}

TEST(Worker, CancelStopsItAndItsEndDoesNotWaitForTheCheck) {
  Worker worker;
  worker.request({1, text_of(k_demo), k_demo, {"", "hung from the rafter"}, 1});
  worker.cancel();
  EXPECT_TRUE(comes_true([&] { return !worker.state().running; }));
  worker.request({2, text_of(k_demo), k_demo, {"", "hung from the rafter"}, 1});
}

TEST(LatestTask, OnlyTheNewestResultIsSeen) {
  LatestTask<int> task;
  for (int i = 1; i <= 50; ++i) {
    task.start([i](Progress& progress) {
      for (int k = 0; k < 20 && !progress.cancelled(); ++k) {
        std::this_thread::sleep_for(std::chrono::microseconds(50));
      }
      return i;
    });
  }
  int seen = 0;
  ASSERT_TRUE(comes_true([&] {
    if (auto result = task.take()) seen = *result;
    return seen != 0;
  }));
  EXPECT_EQ(seen, 50);
  EXPECT_FALSE(task.busy());
}

TEST(Editor, ResultsAreOutOfDateUntilReplaced) {
  Editor editor;
  ASSERT_EQ(editor.start_new({}), "");
  EXPECT_EQ(editor.result().freshness, Freshness::none);
  EXPECT_NE(editor.live(), nullptr);  // at once
  ASSERT_TRUE(
      wait_for(editor, [&] { return editor.comparison_freshness() == Freshness::current; }));
  EXPECT_EQ(editor.comparison().options.size(), editor.options().size());
  ASSERT_EQ(editor.apply(SetValue{"rules.spare_percent", "11"}), "");
  EXPECT_EQ(editor.result().freshness, Freshness::out_of_date);
  EXPECT_EQ(editor.comparison_freshness(), Freshness::out_of_date);
  ASSERT_TRUE(wait_for(editor, [&] { return editor.result().freshness == Freshness::current; }));
  EXPECT_EQ(editor.findings().size(), editor.result().checked.study->findings.size());
  ASSERT_TRUE(wait_for(editor, [&] { return editor.series_freshness() == Freshness::current; }));
  EXPECT_EQ(editor.series().series.front().values.size(), editor.series().time_s.size());
}

TEST(Editor, ABriefOpeningChecksTheChosenOptionAndLeavesTheRest) {
  Editor editor({.threads = 1, .brief_opening = true});
  ASSERT_EQ(editor.open(k_demo, std::nullopt), "");
  EXPECT_EQ(editor.live(), nullptr);
  ASSERT_TRUE(wait_for(editor, [&] { return editor.result().freshness == Freshness::current; }));
  EXPECT_EQ(editor.findings().size(), editor.result().checked.study->findings.size());
  EXPECT_EQ(editor.result("").freshness, Freshness::none);
  editor.finish_opening();
  EXPECT_NE(editor.live(), nullptr);
  EXPECT_EQ(editor.findings().size(), editor.result().checked.study->findings.size());
  ASSERT_TRUE(
      wait_for(editor, [&] { return editor.comparison_freshness() == Freshness::current; }));
}

// Whatever has happened by the time the first picture is shown.
TEST(Editor, AfterABriefOpeningEverythingIsChecked) {
  const auto all_known = [](Editor& editor) {
    EXPECT_NE(editor.live(), nullptr);
    return wait_for(editor, [&] { return editor.comparison_freshness() == Freshness::current; });
  };
  {
    Editor at_once({.threads = 1, .brief_opening = true});
    ASSERT_EQ(at_once.open(k_demo, std::nullopt), "");
    at_once.finish_opening();
    EXPECT_TRUE(all_known(at_once));
  }
  {
    Editor unseen({.threads = 1, .brief_opening = true});  // its result has not been taken yet
    ASSERT_EQ(unseen.open(k_demo, std::nullopt), "");
    ASSERT_TRUE(comes_true([&] { return !unseen.background().running; }));
    unseen.finish_opening();
    EXPECT_EQ(unseen.result().freshness, Freshness::current);  // not checked again
    EXPECT_TRUE(all_known(unseen));
  }
  {
    Editor edited({.threads = 1, .brief_opening = true});
    ASSERT_EQ(edited.open(k_demo, std::nullopt), "");
    ASSERT_EQ(edited.apply(SetValue{"rules.spare_percent", "11"}), "");
    edited.finish_opening();
    EXPECT_TRUE(all_known(edited));
  }
  {
    Editor broken({.threads = 1, .brief_opening = true});
    TemporaryFolder folder;
    write(folder.path() / "plan.toml", "format = 1\n[[joint]]\n");
    ASSERT_EQ(broken.open(folder.path() / "plan.toml", std::nullopt), "");
    broken.finish_opening();
    ASSERT_EQ(broken.open(k_demo, std::nullopt), "");
    EXPECT_TRUE(all_known(broken));
  }
}

TEST(Editor, ARemedyIsCheckedBeforeItIsOfferedAndCanBeUndone) {
  Editor editor({.threads = 1});
  ASSERT_EQ(editor.open(k_demo), "");
  ASSERT_EQ(editor.choose_option("hung from the rafter"), "");
  ASSERT_TRUE(wait_for(editor, [&] { return editor.result().freshness == Freshness::current; }));
  ASSERT_FALSE(editor.findings().empty());
  const std::string id = finding_id(editor.findings().front());
  editor.select_finding(id);
  EXPECT_EQ(editor.highlighted(), editor.findings().front().things);
  ASSERT_EQ(editor.look_for_remedies(id), "");
  ASSERT_TRUE(wait_for(editor, [&] { return !editor.looking_for_remedies(); }));
  editor.poll(1e9);
  ASSERT_FALSE(editor.remedies().remedies.empty());
  const std::string before = editor.text();
  ASSERT_EQ(editor.apply_remedy(0), "");
  ASSERT_TRUE(wait_for(editor, [&] { return editor.result().freshness == Freshness::current; }));
  for (const study::Finding& finding : editor.findings()) EXPECT_NE(finding_id(finding), id);
  EXPECT_NE(editor.apply_remedy(0), "");  // checked for another text
  ASSERT_EQ(editor.undo(), "");
  EXPECT_EQ(editor.text(), before);
}

}  // namespace
}  // namespace bight::editor
