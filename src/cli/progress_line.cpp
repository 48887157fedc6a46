#include "cli/progress_line.h"

#include <fmt/core.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>

namespace bight::cli {

using namespace std::chrono_literals;

ProgressLine::ProgressLine(std::string what, const Progress& progress)
    : what_(std::move(what)), progress_(progress) {
  if (::isatty(STDERR_FILENO) != 0) watcher_ = std::thread([this] { watch(); });
}

ProgressLine::~ProgressLine() {
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    end_ = true;
  }
  ended_.notify_all();
  if (watcher_.joinable()) watcher_.join();
}

void ProgressLine::watch() {
  std::unique_lock<std::mutex> lock(mutex_);
  bool shown = false;
  std::size_t most = 0;
  // What is done within 0.3 s needs no progress.
  for (auto wait = 300ms; !ended_.wait_for(lock, wait, [this] { return end_; }); wait = 100ms) {
    const std::size_t total = progress_.total();
    // The total may grow; what was shown stays.
    if (total > 0) most = std::max(most, 100 * progress_.done() / total);
    fmt::print(stderr, "\r\033[Kchecking {} ... {} %", what_, most);
    std::fflush(stderr);
    shown = true;
  }
  if (shown) fmt::print(stderr, "\r\033[K");
}

}  // namespace bight::cli
