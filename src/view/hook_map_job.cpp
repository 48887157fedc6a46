#include "view/hook_map_job.h"

#include <algorithm>
#include <atomic>
#include <mutex>
#include <thread>

#include "study/free_run.h"
#include "study/hook_place.h"

namespace bight::view {
namespace {

/// mm around the travel of the other end that is looked at.
constexpr double k_around_mm = 500.0;

struct Question {
  std::shared_ptr<const editor::Model> model;
  MovableHold hold;
  MapPlane plane = MapPlane::level;
  bool operator==(const Question& o) const {
    return model == o.model && hold.hold == o.hold.hold && hold.run == o.hold.run &&
           hold.leg == o.hold.leg && plane == o.plane;
  }
};

study::FreeRun const* find_run(const std::vector<study::FreeRun>& runs, const MovableHold& hold) {
  for (const study::FreeRun& run : runs) {
    if (run.run->name == hold.run && run.leg == hold.leg) return &run;
  }
  return nullptr;
}

free::HookArea area_of(const study::FreeRun& run, bool is_start, MapPlane plane) {
  Box box;
  for (const free::Pose& pose : free::corner_poses(run.anchors)) {
    box.extend(is_start ? free::end_at(run.anchors, pose) : free::start_at(run.anchors, pose));
  }
  const Vec3 at = is_start ? run.from.at : run.to.at;
  box = grown(box, k_around_mm);
  box.extend(at);
  const Vec3 size = box.size();
  if (plane == MapPlane::level) {
    return {{box.lower.x, box.lower.y, at.z}, {size.x, 0.0, 0.0}, {0.0, size.y, 0.0}};
  }
  if (plane == MapPlane::upright_along_x) {
    return {{box.lower.x, at.y, box.lower.z}, {size.x, 0.0, 0.0}, {0.0, 0.0, size.z}};
  }
  return {{at.x, box.lower.y, box.lower.z}, {0.0, size.y, 0.0}, {0.0, 0.0, size.z}};
}

std::shared_ptr<const ShownHookMap> compute(const Question& question, Progress& progress) {
  const study::StudyOptions options;
  const study::Context context{question.model->plan, question.model->machine, options,
                               question.model->plan.inches ? LengthUnit::inch : LengthUnit::mm};
  const auto runs = study::make_free_runs(context);
  const study::FreeRun* run = find_run(runs, question.hold);
  if (run == nullptr || run->lines.empty()) return {};
  auto shown = std::make_shared<ShownHookMap>();
  shown->hold = question.hold.hold;
  shown->area = area_of(*run, question.hold.is_start, question.plane);
  // A tape overhead is read to 10 mm either way: a window of 100 mm asks for no care at all, and
  // beyond it the shorter line is the better one.
  constexpr double k_ample_mm = 100.0;
  // Regions that work can be a hand wide: a larger cell misses them.
  constexpr double k_coarse_mm = 80.0;
  shown->map =
      free::map_hooks(shown->area, study::hold_window(context, runs, *run, question.hold.is_start),
                      {.coarse_mm = k_coarse_mm, .enough_margin_mm = k_ample_mm}, &progress);
  return shown;
}

}  // namespace

std::vector<MovableHold> movable_holds(const editor::Model& model) {
  const study::StudyOptions options;
  const study::Context context{model.plan, model.machine, options};
  std::vector<MovableHold> holds;
  for (const study::FreeRun& run : study::make_free_runs(context)) {
    // Where the line's other end moves by itself there is no window of one place.
    if (run.support != nullptr || run.festoon != nullptr) continue;
    const auto add = [&](const study::FreeEnd& end, const study::FreeEnd& other, bool is_start) {
      if (end.body != plan::k_ground) return;
      holds.push_back({end.name, run.run->name, run.leg, is_start, other.name});
    };
    add(run.from, run.to, true);
    add(run.to, run.from, false);
  }
  return holds;
}

struct HookMapJob::Shared {
  std::function<void()> wake;
  mutable std::mutex mutex;
  std::shared_ptr<const ShownHookMap> map;
  Question question;  ///< that was asked last
  Question answered;  ///< of the map
  std::shared_ptr<Progress> progress;
  std::thread thread;
  std::atomic<bool> running{false};
};

HookMapJob::HookMapJob(std::function<void()> wake) : shared_(std::make_shared<Shared>()) {
  shared_->wake = std::move(wake);
}

HookMapJob::~HookMapJob() {
  cancel();
}

void HookMapJob::cancel() {
  if (shared_->progress) shared_->progress->cancel();
  if (shared_->thread.joinable()) shared_->thread.join();
}

void HookMapJob::ask(const std::shared_ptr<const editor::Model>& model, const MovableHold& hold,
                     MapPlane plane) {
  if (!model || Question{model, hold, plane} == shared_->question) return;
  // The computation looks at its progress once a place, so this join is a matter of microseconds.
  cancel();
  shared_->question = {model, hold, plane};
  shared_->progress = std::make_shared<Progress>();
  shared_->running = true;
  Shared* shared = shared_.get();
  shared_->thread =
      std::thread([shared, question = shared_->question, progress = shared_->progress] {
        auto map = compute(question, *progress);
        if (!progress->cancelled()) {
          const std::lock_guard lock(shared->mutex);
          shared->map = std::move(map);
          shared->answered = question;
        }
        shared->running = false;
        if (shared->wake) shared->wake();
      });
}

bool HookMapJob::running() const {
  return shared_->running;
}

double HookMapJob::share() const {
  if (!shared_->progress || shared_->progress->total() == 0) return 0.0;
  return static_cast<double>(shared_->progress->done()) /
         static_cast<double>(shared_->progress->total());
}

std::shared_ptr<const ShownHookMap> HookMapJob::map() const {
  const std::lock_guard lock(shared_->mutex);
  return shared_->map;
}

bool HookMapJob::is_of(const std::shared_ptr<const editor::Model>& model, const MovableHold& hold,
                       MapPlane plane) const {
  const std::lock_guard lock(shared_->mutex);
  return shared_->map && shared_->answered == Question{model, hold, plane};
}

}  // namespace bight::view
