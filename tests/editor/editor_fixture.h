#pragma once
// Plans and folders for tests of the editor.

#include <gtest/gtest.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <string>
#include <thread>

#include "base/file.h"
#include "editor/editor.h"

namespace bight::editor {

inline const std::string k_demo = BIGHT_SOURCE_DIR "/assets/demo/plan.toml";

inline std::string text_of(const std::filesystem::path& path) {
  FileText file = read_file(path, 1U << 22U);
  EXPECT_TRUE(file.text) << file.problem;
  return file.text.value_or("");
}

inline void write(const std::filesystem::path& path, const std::string& text) {
  std::ofstream(path, std::ios::binary) << text;
}

/// A folder of its own for each test, removed at its end.
class TemporaryFolder {
 public:
  TemporaryFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "bight-editor-XXXXXX").string();
    path_ = ::mkdtemp(name.data());
  }
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  ~TemporaryFolder() {
    std::error_code error;
    std::filesystem::remove_all(path_, error);
  }
  const std::filesystem::path& path() const { return path_; }
  Folders folders() const { return {path_ / "config", path_ / "state"}; }

 private:
  std::filesystem::path path_;
};

/// A small machine with chains and a hanging cord, written by the program itself.
inline std::string starter_text() {
  return plan::starter_plan({}).text;
}

inline EditorOptions without_background() {
  return {.background = false};
}

/// Polls until the condition holds, at most a minute.
template <typename Condition>
bool wait_for(Editor& editor, const Condition& condition) {
  double now = 0.0;
  for (int i = 0; i < 12000; ++i) {
    now += 0.005;
    editor.poll(now);
    if (condition()) return true;
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
  return false;
}

}  // namespace bight::editor
