#pragma once
// Maps of what the tool tip can reach, computed in the background when the picture shows them.

#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "clearance/blocked_region.h"
#include "editor/latest_task.h"
#include "editor/model.h"
#include "study/reach_map.h"
#include "view/panel_context.h"

namespace bight::view {

struct TravelMaps {
  std::shared_ptr<const editor::Model> model;  ///< that they belong to
  std::optional<study::ReachMap> reach;
  std::optional<clearance::BlockedRegion> blocked;
};

/// Not thread-safe: one a window.
class TravelMapsJob {
 public:
  /// `wake` is called from the thread when it ends.
  explicit TravelMapsJob(std::function<void()> wake) : task_(std::move(wake)) {}

  /// Starts anew unless this is known or on its way; cancels when nothing is wanted.
  void ask(const std::shared_ptr<const editor::Model>& model, bool reach, bool blocked);
  /// Takes what is ready. True while something is computed.
  bool running();
  /// What there is to say: that maps are computed, or that nothing is blocked. Empty: they speak
  /// for themselves.
  MapNote note(const std::shared_ptr<const editor::Model>& model, bool blocked);
  /// The last maps, also while newer ones are computed; null before the first.
  const std::shared_ptr<const TravelMaps>& maps() const { return maps_; }

 private:
  std::shared_ptr<const editor::Model> asked_;
  bool asked_reach_ = false;
  bool asked_blocked_ = false;
  std::shared_ptr<const TravelMaps> maps_;
  editor::LatestTask<std::shared_ptr<const TravelMaps>> task_;
};

}  // namespace bight::view
