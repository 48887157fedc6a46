#pragma once
// How near a free run comes to the parts of the machine and its surroundings: proved clear where
// the outer bound on where a line can be allows it, sampled with local refinement for the rest.

#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "study/free_run.h"
#include "study/free_run_shapes.h"
#include "study/mover.h"
#include "study/raised_chain.h"

namespace bight::study {

/// Something that the line could come near to.
struct LineTarget {
  const Mover* mover = nullptr;         ///< without a solid where it is a raised chain
  const RaisedChain* raised = nullptr;  ///< then its simulated links count, at each pose
  double wanted_mm = 0.0;
  bool skip_start = false;  ///< the start of the line is fastened to it
  bool skip_end = false;
};

/// What is left when everything proved out of reach is taken out. Parts that the leg may touch are
/// left out; a part to which an end is fastened, and a chain into which the line goes on, only must
/// not be touched, away from that end.
struct LineTargets {
  std::vector<LineTarget> targets;
  std::size_t proved = 0;  ///< movers and raised chains proved clear over the whole travel
};
LineTargets line_targets(const Context& context, const FreeRun& run, double length_mm,
                         double diameter_mm, const std::vector<Mover>& movers,
                         const std::vector<RaisedChain>& raised);

/// Which joints move the line against one of the targets, one entry a joint.
std::vector<bool> approaching_joints(const FreeRun& run, const std::vector<LineTarget>& targets);

/// Nearest approach of the line's surface to one target. `distance_mm` is negative when the line
/// passes through it.
struct LineApproach {
  LineTarget target;
  double distance_mm = 0.0;
  std::vector<double> pose;
  RodShape shape;  ///< at the pose
};

/// Distance of the surface of a line of the given shape to a target at a pose; infinite when the
/// target is not there (a piece of a chain) or of unknown shape, or not nearer than `within_mm`.
double line_distance(const LineTarget& target, const std::vector<double>& pose,
                     const std::vector<Vec3>& points, double length_mm, double diameter_mm,
                     double within_mm = std::numeric_limits<double>::infinity());

/// The same for all that the line sweeps on straight ways from `points` to `other`.
double swept_distance(const LineTarget& target, const std::vector<double>& pose,
                      const std::vector<Vec3>& points, const std::vector<Vec3>& other,
                      double length_mm, double diameter_mm,
                      double within_mm = std::numeric_limits<double>::infinity());

/// One approach an owner, nearest to its wanted distance first. `grid` is that of all joints,
/// shapes.grid its shaping part.
std::vector<LineApproach> line_approaches(const Context& context, const FreeRunShapes& shapes,
                                          const PoseGrid& grid, double diameter_mm,
                                          const std::vector<LineTarget>& targets);

/// True when a line of another length, stiffness or with moved anchors keeps the wanted distance at
/// the poses of all approaches. Cheap: for trying a change before it is checked in full.
bool keeps_clear_at(FreeRunRod rod, double diameter_mm,
                    const std::vector<LineApproach>& approaches);

}  // namespace bight::study
