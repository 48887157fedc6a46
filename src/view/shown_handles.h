#pragma once
// Which handles the picture shows, and where on it they and their arms stand: known before its
// texts are placed, so that names keep off them.

#include <set>
#include <string>
#include <vector>

#include "editor/handle.h"
#include "scene/camera.h"
#include "scene/label_layout.h"
#include "scene/scene.h"

namespace bight::view {

/// The grip at the end of an arm: dragged, it moves the handle along one direction only.
struct ShownArm {
  Vec3 direction{0.0};
  Vec2 grip{0.0};  ///< pixel of its middle
};

struct ShownHandle {
  editor::Handle handle;
  Vec3 held{0.0};   ///< where it stands: of a part the middle, else the handle's place
  Vec2 pixel{0.0};  ///< of `held`
  bool chosen = false;
  std::vector<ShownArm> arms;
};

/// What the picture shows of the plan.
struct HandleChoice {
  std::string selected;          ///< thing that is chosen: one of its handles has arms
  std::string armed;             ///< handle that was taken last
  std::set<std::string> hidden;  ///< things
};

/// Half the width of a handle or grip, and the length of an arm, in units of the font's height.
inline constexpr double k_handle_em = 0.55;
inline constexpr double k_arm_em = 3.4;

/// Those within `area` whose things are drawn. A part has one only when it is chosen: it would
/// hide the part. `em_px`: height of the font in pixels of the picture.
std::vector<ShownHandle> shown_handles(const std::vector<editor::Handle>& all,
                                       const HandleChoice& choice, const scene::Scene& scene,
                                       const scene::Camera& camera, const scene::Viewport& viewport,
                                       const scene::Rect& area, double em_px);

/// Pixels of handles, arms and grips.
std::vector<scene::Rect> rooms_of(const std::vector<ShownHandle>& handles, double em_px);

}  // namespace bight::view
