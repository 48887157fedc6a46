#include "base/file.h"

#include <gtest/gtest.h>
#include <sys/stat.h>

#include <fstream>

namespace bight {
namespace {

namespace fs = std::filesystem;

class File : public testing::Test {
 protected:
  void SetUp() override {
    std::string name = (fs::temp_directory_path() / "bight-file-XXXXXX").string();
    ASSERT_NE(::mkdtemp(name.data()), nullptr);
    folder_ = name;
  }
  void TearDown() override { fs::remove_all(folder_); }
  static std::string content(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
  }
  fs::path folder_;
};

TEST_F(File, SavingKeepsThePreviousContent) {
  const fs::path path = folder_ / "plan.toml";
  ASSERT_EQ(save_file(path, "first\n"), "");
  EXPECT_FALSE(fs::exists(folder_ / "plan.toml~"));
  ASSERT_EQ(save_file(path, "second\n"), "");
  EXPECT_EQ(content(path), "second\n");
  EXPECT_EQ(content(folder_ / "plan.toml~"), "first\n");
}

TEST_F(File, SavingLeavesNoTemporaryFileAndKeepsPermissions) {
  const fs::path path = folder_ / "plan.toml";
  ASSERT_EQ(save_file(path, "a"), "");
  fs::permissions(path, fs::perms::owner_read | fs::perms::owner_write);
  ASSERT_EQ(save_file(path, "b"), "");
  EXPECT_EQ(fs::status(path).permissions(), fs::perms::owner_read | fs::perms::owner_write);
  EXPECT_EQ(std::distance(fs::directory_iterator(folder_), fs::directory_iterator()), 2);
}

TEST_F(File, SavingIntoAMissingFolderSaysSoAndReadsNothing) {
  const std::string problem = save_file(folder_ / "no" / "plan.toml", "x");
  EXPECT_NE(problem.find("No such file or directory"), std::string::npos) << problem;
}

TEST_F(File, ReadingIsBounded) {
  const fs::path path = folder_ / "big";
  std::ofstream(path) << std::string(100, 'x');
  EXPECT_EQ(read_file(path, 100).text, std::string(100, 'x'));
  const FileText too_big = read_file(path, 99);
  EXPECT_FALSE(too_big.text.has_value());
  EXPECT_NE(too_big.problem.find("100 bytes"), std::string::npos) << too_big.problem;
}

TEST_F(File, FoldersPipesAndMissingFilesAreRefusedWithASentence) {
  EXPECT_NE(read_file(folder_, 10).problem.find("not a regular file"), std::string::npos);
  const fs::path pipe = folder_ / "pipe";
  ASSERT_EQ(::mkfifo(pipe.c_str(), 0600), 0);
  EXPECT_NE(read_file(pipe, 10).problem.find("not a regular file"), std::string::npos);
  EXPECT_NE(read_file(folder_ / "none", 10).problem.find("No such file"), std::string::npos);
}

}  // namespace
}  // namespace bight
