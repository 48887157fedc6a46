#pragma once
// Full checks in the background: one thread that takes the newest request, works through its
// options, the chosen one first, and starts again when a newer request comes. The caller never
// waits for it.

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "editor/model.h"
#include "study/compare.h"
#include "study/study.h"

namespace bight::editor {

/// One option checked in full.
struct CheckedOption {
  std::string option;  ///< empty: the plan as written
  std::shared_ptr<const Model> model;
  std::shared_ptr<const study::StudyResult> study;
  std::shared_ptr<const study::OptionFigures> figures;
  std::uint64_t generation = 0;  ///< of the request that it answers
};

/// A text to check. Options are done in this order.
struct CheckRequest {
  std::uint64_t generation = 0;
  std::string text;
  std::string file;
  std::vector<std::string> options;
  unsigned threads = 0;
  std::optional<LengthUnit> unit;  ///< of lengths in sentences; absent: that of the plan
};

struct WorkerState {
  bool running = false;
  std::uint64_t generation = 0;  ///< of what runs or ran last
  std::string option;            ///< that it works on
  double share = 0.0;            ///< of the steps known so far that are done, 0 to 1
};

class Worker {
 public:
  /// `wake` is called from the thread after each new result (a window posts an empty event).
  explicit Worker(std::function<void()> wake = {});
  ~Worker();  ///< cancels and waits for the thread
  Worker(const Worker&) = delete;
  Worker& operator=(const Worker&) = delete;

  /// Replaces whatever was asked for before; what runs is cancelled. Returns at once.
  void request(CheckRequest request);
  void cancel();

  /// Results that came since the last call, oldest first.
  std::vector<CheckedOption> take();
  WorkerState state() const;

 private:
  struct Shared;
  std::unique_ptr<Shared> shared_;
};

}  // namespace bight::editor
