#include "editor/finding_list.h"

#include <gtest/gtest.h>

namespace bight::editor {
namespace {

using study::Severity;

std::vector<study::Finding> findings() {
  std::vector<study::Finding> all(4);
  all[0] = {.check = "clearance",
            .severity = Severity::act,
            .what = "Router near Bench",
            .things = {"router", "bench"},
            .value = 4.0,
            .limit = 5.0};
  all[1] = {.check = "reach",
            .severity = Severity::stop,
            .what = "does not reach",
            .things = {"sheet"},
            .value = 0.0,
            .limit = 10.0};
  all[2] = {.check = "chain fill",
            .severity = Severity::note,
            .what = "full",
            .things = {"X chain"},
            .value = 59.0,
            .limit = 60.0};
  all[3] = {.check = "clearance",
            .severity = Severity::stop,
            .what = "head hits clamp",
            .things = {"head", "clamp"},
            .value = 0.0,
            .limit = 5.0};
  return all;
}

using Indices = std::vector<std::size_t>;

TEST(FindingList, SortsWorstFirstAndKeepsTheOrderOfEqualOnes) {
  EXPECT_EQ(listed_findings(findings(), {}), (Indices{1, 3, 0, 2}));
  EXPECT_EQ(listed_findings(findings(), {}, FindingOrder::check), (Indices{2, 0, 3, 1}));
  EXPECT_EQ(listed_findings(findings(), {}, FindingOrder::thing), (Indices{2, 3, 0, 1}));
  EXPECT_EQ(listed_findings(findings(), {}, FindingOrder::margin), (Indices{1, 3, 0, 2}));
}

TEST(FindingList, FiltersBySeverityWordsAndThing) {
  EXPECT_EQ(listed_findings(findings(), {.stops = false, .notes = false}), (Indices{0}));
  EXPECT_EQ(listed_findings(findings(), {.text = "bench ROUTER"}), (Indices{0}));
  EXPECT_EQ(listed_findings(findings(), {.text = "bench sheet"}), (Indices{}));
  EXPECT_EQ(listed_findings(findings(), {.thing = "clamp"}), (Indices{3}));
  const FindingCounts counts = count_findings(findings());
  EXPECT_EQ(counts.stops, 2U);
  EXPECT_EQ(counts.acts, 1U);
  EXPECT_EQ(counts.notes, 1U);
}

}  // namespace
}  // namespace bight::editor
