#pragma once
// One line on standard error that tells how far a study is. Only on a terminal, and only once it
// has taken a moment.

#include <condition_variable>
#include <mutex>
#include <string>
#include <thread>

#include "base/progress.h"

namespace bight::cli {

class ProgressLine {
 public:
  ProgressLine(std::string what, const Progress& progress);
  ~ProgressLine();
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;

 private:
  void watch();

  std::string what_;
  const Progress& progress_;
  std::mutex mutex_;
  std::condition_variable ended_;
  bool end_ = false;
  std::thread watcher_;
};

}  // namespace bight::cli
