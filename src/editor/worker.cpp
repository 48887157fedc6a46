#include "editor/worker.h"

#include <condition_variable>
#include <mutex>
#include <thread>
#include <utility>

#include "base/progress.h"
#include "study/study_in_unit.h"

namespace bight::editor {

struct Worker::Shared {
  explicit Shared(std::function<void()> w) : wake(std::move(w)) {}

  std::function<void()> wake;
  mutable std::mutex mutex;
  std::condition_variable changed;
  // All below under the mutex; the progress object is safe by itself while it is shared.
  bool quit = false;
  std::optional<CheckRequest> next;
  std::vector<CheckedOption> finished;
  WorkerState state;
  std::shared_ptr<Progress> progress;
  std::thread thread;

  void run() {
    machine::MeshCache cache;
    std::unique_lock lock(mutex);
    while (true) {
      changed.wait(lock, [this] { return quit || next; });
      if (quit) return;
      const CheckRequest request = std::move(*next);
      next.reset();
      auto watched = std::make_shared<Progress>();
      progress = watched;
      state = {true, request.generation, {}, 0.0};
      for (const std::string& option : request.options) {
        if (quit || next || watched->cancelled()) break;
        state.option = option;
        lock.unlock();
        std::optional<CheckedOption> checked = check(request, option, cache, *watched);
        if (checked) {
          lock.lock();
          finished.push_back(std::move(*checked));
          lock.unlock();
        }
        if (wake) wake();
        lock.lock();
      }
      state.running = false;
      progress.reset();
      lock.unlock();
      if (wake) wake();
      lock.lock();
    }
  }

  /// Nothing when the text has errors or the check was cancelled: half a check is no verdict.
  static std::optional<CheckedOption> check(const CheckRequest& request, const std::string& option,
                                            machine::MeshCache& cache, Progress& watched) {
    const Reading reading = read_model(request.text, request.file, option, cache);
    if (!reading.model) return {};
    const Model& model = *reading.model;
    const LengthUnit unit =
        request.unit.value_or(model.plan.inches ? LengthUnit::inch : LengthUnit::mm);
    auto study = std::make_shared<study::StudyResult>(study::run_study(
        model.plan, model.machine, {.threads = request.threads, .progress = &watched}, unit));
    if (watched.cancelled() || study->cancelled) return {};
    auto figures = std::make_shared<study::OptionFigures>(
        study::option_figures(model.plan, model.machine, *study));
    return CheckedOption{option, reading.model, std::move(study), std::move(figures),
                         request.generation};
  }
};

Worker::Worker(std::function<void()> wake) : shared_(std::make_unique<Shared>(std::move(wake))) {
  shared_->thread = std::thread([this] { shared_->run(); });
}

Worker::~Worker() {
  {
    const std::lock_guard lock(shared_->mutex);
    shared_->quit = true;
    if (shared_->progress) shared_->progress->cancel();
  }
  shared_->changed.notify_all();
  shared_->thread.join();
}

void Worker::request(CheckRequest request) {
  {
    const std::lock_guard lock(shared_->mutex);
    shared_->next = std::move(request);
    if (shared_->progress) shared_->progress->cancel();
  }
  shared_->changed.notify_all();
}

void Worker::cancel() {
  const std::lock_guard lock(shared_->mutex);
  shared_->next.reset();
  if (shared_->progress) shared_->progress->cancel();
}

std::vector<CheckedOption> Worker::take() {
  const std::lock_guard lock(shared_->mutex);
  return std::exchange(shared_->finished, {});
}

WorkerState Worker::state() const {
  const std::lock_guard lock(shared_->mutex);
  WorkerState state = shared_->state;
  state.running = state.running || shared_->next.has_value();
  if (shared_->progress) {
    const auto total = static_cast<double>(shared_->progress->total());
    const auto done = static_cast<double>(shared_->progress->done());
    state.share = total > 0.0 ? std::min(1.0, done / total) : 0.0;
  }
  return state;
}

}  // namespace bight::editor
