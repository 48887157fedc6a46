#pragma once
// A machine at a pose as a scene: parts, chains, lines, supports, anchors, switches, travel. The
// same for window, picture file and report.

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/units.h"
#include "machine/machine.h"
#include "picture/pose_shapes.h"
#include "plan/plan.h"
#include "scene/scene.h"
#include "study/study.h"

namespace bight::picture {

struct SceneOptions {
  LengthUnit unit = LengthUnit::mm;
  bool grid = true;
  bool surroundings = true;
  bool lines = true;
  bool chains = true;
  bool switches = true;
  bool travel_box = true;  ///< where the tool tip can go
  bool work_areas = true;
  bool names = true;  ///< labels of lines, chains, supports
  bool title = true;
  std::optional<scene::Thing> selected;
  std::optional<scene::Thing> hovered;
};

/// Meshes that are made for pictures (links of chains), kept from scene to scene so that what was
/// uploaded stays valid. One a window; not thread-safe.
struct SceneMeshes {
  std::map<std::string, std::shared_ptr<const shape::Mesh>> made;
  /// Boxes of the parts' meshes, so that a drag need not look at each vertex.
  std::map<const shape::Mesh*, std::pair<std::weak_ptr<const shape::Mesh>, Box>> boxes;

  Box box_of(const std::shared_ptr<const shape::Mesh>& mesh);
};

/// The machine at the pose of `shapes`.
scene::Scene build_scene(const plan::Plan& plan, const machine::Machine& machine,
                         const PoseShape& shapes, SceneMeshes& meshes,
                         const SceneOptions& options = {});

/// The home pose, or the pose given by values per joint name ("X", 100.0); absent joints stay home.
/// Nothing when a name is no joint or a value is beyond its travel: `problem` says which are, or
/// from where to where it goes, in `unit`.
std::optional<std::vector<double>> pose_of(
    const machine::Machine& machine, const std::vector<std::pair<std::string, double>>& values,
    LengthUnit unit, std::string& problem);

}  // namespace bight::picture
