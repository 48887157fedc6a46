#pragma once
// One computation at a time in a thread of its own, always the newest that was asked for: an older
// one is cancelled, and its result never seen. For what follows a selection or a new plan.

#include <condition_variable>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <thread>
#include <utility>

#include "base/progress.h"

namespace bight::editor {

template <typename Result>
class LatestTask {
 public:
  using Work = std::function<Result(Progress&)>;

  explicit LatestTask(std::function<void()> wake = {}) : wake_(std::move(wake)) {}
  LatestTask(const LatestTask&) = delete;
  LatestTask& operator=(const LatestTask&) = delete;
  ~LatestTask() {
    {
      const std::lock_guard lock(mutex_);
      quit_ = true;
      if (progress_) progress_->cancel();
    }
    changed_.notify_all();
    if (thread_.joinable()) thread_.join();
  }

  /// Returns at once. The work must own what it uses.
  void start(Work work) {
    {
      const std::lock_guard lock(mutex_);
      next_ = std::move(work);
      result_.reset();
      if (progress_) progress_->cancel();
      if (!thread_.joinable()) thread_ = std::thread([this] { run(); });
    }
    changed_.notify_all();
  }

  void cancel() {
    const std::lock_guard lock(mutex_);
    next_ = nullptr;
    result_.reset();
    if (progress_) progress_->cancel();
  }

  /// The result, once.
  std::optional<Result> take() {
    const std::lock_guard lock(mutex_);
    return std::exchange(result_, std::nullopt);
  }

  bool busy() const {
    const std::lock_guard lock(mutex_);
    return next_ != nullptr || progress_ != nullptr || result_.has_value();
  }

 private:
  void run() {
    std::unique_lock lock(mutex_);
    while (true) {
      changed_.wait(lock, [this] { return quit_ || next_ != nullptr; });
      if (quit_) return;
      const Work work = std::exchange(next_, nullptr);
      auto progress = std::make_shared<Progress>();
      progress_ = progress;
      lock.unlock();
      Result result = work(*progress);
      lock.lock();
      progress_.reset();
      if (!progress->cancelled()) result_ = std::move(result);
      if (wake_ && !quit_) {
        lock.unlock();
        wake_();
        lock.lock();
      }
    }
  }

  std::function<void()> wake_;
  mutable std::mutex mutex_;
  std::condition_variable changed_;
  bool quit_ = false;
  Work next_;
  std::optional<Result> result_;
  std::shared_ptr<Progress> progress_;
  std::thread thread_;
};

}  // namespace bight::editor
