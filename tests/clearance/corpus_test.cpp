// Cases that once went wrong, each a file that says why (tests/corpus/clearance).

#include <gtest/gtest.h>

#include <filesystem>

#include "clearance/scene_check.h"
#include "scenes/scene_file.h"

namespace bight::clearance {
namespace {

std::vector<std::filesystem::path> corpus() {
  std::vector<std::filesystem::path> files;
  const std::filesystem::path folder = BIGHT_SOURCE_DIR "/tests/corpus/clearance";
  for (const auto& entry : std::filesystem::directory_iterator(folder))
    if (entry.path().extension() == ".txt") files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  return files;
}

class ClearanceCorpus : public testing::TestWithParam<std::filesystem::path> {};

TEST_P(ClearanceCorpus, StaysRight) {
  const auto kept = scenes::read_scene(GetParam());
  ASSERT_TRUE(kept);
  const scenes::Scene& s = kept->scene;
  const QueryResult r = query_clearance(shape::make_solid(s.a), shape::make_solid(s.b), s.travel);
  EXPECT_EQ(r.upper_mm == 0.0, kept->contact);
  EXPECT_EQ(r.lower_mm > 0.0, !kept->contact);
  EXPECT_EQ(check_query(s, 1).problem, "");
  for (const std::uint64_t seed : {1U, 2U, 3U, 4U})
    EXPECT_EQ(check_blocked_region(s, seed).problem, "");
}

INSTANTIATE_TEST_SUITE_P(Files, ClearanceCorpus, testing::ValuesIn(corpus()), [](const auto& info) {
  std::string name = info.param.stem().string();
  std::replace(name.begin(), name.end(), '-', '_');
  return name;
});

}  // namespace
}  // namespace bight::clearance
