#pragma once
// Progress and cancel: one small object passed into every long computation. Thread-safe.

#include <atomic>
#include <cstddef>

namespace bight {

/// Shared between the thread that computes and the thread that watches. Work is counted in steps of
/// the computation's own choice; `total` may grow while it runs. Cancel is a request: a computation
/// looks at it at least once a step, stops, and marks its result as cancelled.
class Progress {
 public:
  void add_total(std::size_t steps) { total_.fetch_add(steps, std::memory_order_relaxed); }
  void step(std::size_t steps = 1) { done_.fetch_add(steps, std::memory_order_relaxed); }
  void cancel() { cancelled_.store(true, std::memory_order_relaxed); }

  std::size_t total() const { return total_.load(std::memory_order_relaxed); }
  std::size_t done() const { return done_.load(std::memory_order_relaxed); }
  bool cancelled() const { return cancelled_.load(std::memory_order_relaxed); }

 private:
  std::atomic<std::size_t> total_{0};
  std::atomic<std::size_t> done_{0};
  std::atomic<bool> cancelled_{false};
};

/// True when a progress object is given and its watcher asked to stop.
inline bool is_cancelled(const Progress* progress) {
  return progress != nullptr && progress->cancelled();
}

}  // namespace bight
