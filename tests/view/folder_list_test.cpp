#include "view/folder_list.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <fstream>

namespace bight::view {
namespace fs = std::filesystem;
namespace {

class FolderListTest : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() / ("bight-folder-" + std::to_string(::getpid()));
    fs::create_directories(folder_ / "zoo");
    for (const char* name : {"b.toml", "a.toml", "notes.txt", ".hidden.toml"}) {
      std::ofstream(folder_ / name) << "x";
    }
  }
  void TearDown() override { fs::remove_all(folder_); }
  fs::path folder_;
};

TEST_F(FolderListTest, FoldersComeFirstThenPlansByName) {
  const FolderList list = list_folder(folder_, {".toml"});
  ASSERT_EQ(list.entries.size(), 3U);
  EXPECT_EQ(list.entries[0].name, "zoo");
  EXPECT_TRUE(list.entries[0].is_folder);
  EXPECT_EQ(list.entries[1].name, "a.toml");
  EXPECT_EQ(list.entries[2].name, "b.toml");
}

TEST_F(FolderListTest, FolderThatIsNotThereIsASentence) {
  const FolderList list = list_folder(folder_ / "nowhere", {".toml"});
  EXPECT_TRUE(list.entries.empty());
  EXPECT_FALSE(list.problem.empty());
}

TEST_F(FolderListTest, TypedPathsStartAtTheFolderOrAtHome) {
  ::setenv("HOME", "/home/someone", 1);
  EXPECT_EQ(typed_path("a.toml", folder_), folder_ / "a.toml");
  EXPECT_EQ(typed_path("/tmp/x", folder_), fs::path("/tmp/x"));
  EXPECT_EQ(typed_path("~/plans/x.toml", folder_), fs::path("/home/someone/plans/x.toml"));
  EXPECT_EQ(typed_path("~", folder_), fs::path("/home/someone/"));
}

}  // namespace
}  // namespace bight::view
