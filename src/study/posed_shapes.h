#pragma once
// The shapes of a free line put to every pose of the whole grid, and quick bounds of how near they
// come to something. For study/free_run_clearance.h and study/free_run_refine.h.

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include "study/free_run_clearance.h"

namespace bight::study {

double box_distance(const Box& a, const Box& b);

/// Boxes around equal pieces of the line for a quick bound of its distance.
struct LineBoxes {
  static constexpr std::size_t k_pieces = 8;
  std::array<Box, k_pieces> boxes;
};
LineBoxes boxed(const std::vector<Vec3>& points);

/// Where the target is, or would be if it were there.
Vec3 shift_anywhere(const LineTarget& target, const std::vector<double>& pose);
/// Where the target is; nothing when it is not there at this pose (a piece of a chain).
std::optional<Vec3> shift_of(const LineTarget& target, const std::vector<double>& pose);

/// Boxes around a target, in the frame of the plan.
class TargetBox {
 public:
  explicit TargetBox(const LineTarget& target);
  /// Where it is, or would be if it were there.
  Box anywhere(const std::vector<double>& pose) const;
  /// Nothing when it is not there at this pose.
  std::optional<Box> at(const std::vector<double>& pose) const;

 private:
  const LineTarget& target_;
  Box box_;
};

/// The poses of the whole grid: each has a shape of the shaping grid, moved along with both ends.
class PosedShapes {
 public:
  /// The shapes are kept as a reference.
  PosedShapes(const FreeRunShapes& shapes, const PoseGrid& grid);

  std::size_t size() const { return shape_.size(); }
  const std::vector<double>& pose(std::size_t p) const { return poses_[p]; }
  const RodShape& shape(std::size_t p) const { return shapes_.shapes[shape_[p]]; }
  std::vector<Vec3> points(std::size_t p) const;

  /// Never more than the distance of the line's middle to a box; infinite when there is no shape.
  double bound(const Box& box, std::size_t p) const;
  /// Largest motion of a joint of the line from one pose to another.
  double motion(std::size_t p, std::size_t q) const;

 private:
  const FreeRunShapes& shapes_;
  std::vector<LineBoxes> boxes_;  ///< of each shape
  std::vector<std::vector<double>> poses_;
  std::vector<std::size_t> shape_;  ///< of each pose
  std::vector<Vec3> shifts_;        ///< of the line at each pose since its shape was solved
};

}  // namespace bight::study
