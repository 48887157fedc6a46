#pragma once
// The map of places for a hook or bracket, computed in the background for the picture and the hooks
// page: where a length that works exists, and where the window is widest.

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "base/progress.h"
#include "editor/model.h"
#include "view/stage.h"

namespace bight::view {

/// A free run with an end that is fixed to the ground, so that it can be put elsewhere.
struct MovableHold {
  std::string hold;  ///< hook or anchor
  std::string run;
  std::size_t leg = 0;  ///< index in the run
  bool is_start = true;
  std::string other;  ///< what hangs at the other end
};

/// In the order of the plan's runs.
std::vector<MovableHold> movable_holds(const editor::Model& model);

/// The plane in which places are looked at, through where the hold is now.
enum class MapPlane { level, upright_along_x, upright_along_y };

/// Not thread-safe: one a window.
class HookMapJob {
 public:
  /// `wake` is called from the thread when it ends.
  explicit HookMapJob(std::function<void()> wake);
  ~HookMapJob();
  HookMapJob(const HookMapJob&) = delete;
  HookMapJob& operator=(const HookMapJob&) = delete;

  /// Starts anew unless the same is shown or on its way.
  void ask(const std::shared_ptr<const editor::Model>& model, const MovableHold& hold,
           MapPlane plane);
  void cancel();
  bool running() const;
  double share() const;  ///< of the work known so far
  /// The last map, also while a new one is computed; null before the first.
  std::shared_ptr<const ShownHookMap> map() const;
  /// It belongs to this model and hold.
  bool is_of(const std::shared_ptr<const editor::Model>& model, const MovableHold& hold,
             MapPlane plane) const;

 private:
  struct Shared;
  std::shared_ptr<Shared> shared_;
};

}  // namespace bight::view
