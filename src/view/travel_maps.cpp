#include "view/travel_maps.h"

#include "picture/overlays.h"

namespace bight::view {

void TravelMapsJob::ask(const std::shared_ptr<const editor::Model>& model, bool reach,
                        bool blocked) {
  if (!model || (!reach && !blocked)) {
    if (asked_) task_.cancel();
    asked_.reset();
    return;
  }
  if (asked_ == model && asked_reach_ == reach && asked_blocked_ == blocked) return;
  asked_ = model;
  asked_reach_ = reach;
  asked_blocked_ = blocked;
  task_.start([model, reach, blocked](Progress& progress) -> std::shared_ptr<const TravelMaps> {
    constexpr double k_cell_mm = 20.0;
    study::StudyOptions options;
    options.progress = &progress;
    auto maps = std::make_shared<TravelMaps>();
    maps->model = model;
    if (reach) maps->reach = study::make_reach_map(model->plan, model->machine, k_cell_mm, options);
    if (blocked) {
      maps->blocked = picture::blocked_region_of(model->plan, model->machine, options);
    }
    return maps;
  });
}

bool TravelMapsJob::running() {
  if (auto ready = task_.take()) maps_ = std::move(*ready);
  return task_.busy();
}

MapNote TravelMapsJob::note(const std::shared_ptr<const editor::Model>& model, bool blocked) {
  if (running()) {
    return {maps_ && maps_->model != model ? "Out of date: the map is worked out again\u2026"
                                           : "Working out the map\u2026"};
  }
  if (blocked && maps_ && maps_->model == model && maps_->blocked &&
      maps_->blocked->cells.empty()) {
    return {"Nothing keeps the tip from any place of its travel.", true};
  }
  return {};
}

}  // namespace bight::view
