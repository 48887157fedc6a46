#include "study/posed_shapes.h"

#include <algorithm>
#include <limits>

namespace bight::study {

double box_distance(const Box& a, const Box& b) {
  const Vec3 gap = glm::max(glm::max(a.lower - b.upper, b.lower - a.upper), Vec3(0.0));
  return glm::length(gap);
}

LineBoxes boxed(const std::vector<Vec3>& points) {
  LineBoxes line;
  const std::size_t segments = points.empty() ? 0 : points.size() - 1;
  for (std::size_t i = 0; i < segments; ++i) {
    Box& box = line.boxes[i * LineBoxes::k_pieces / segments];
    box.extend(points[i]);
    box.extend(points[i + 1]);
  }
  return line;
}

Vec3 shift_anywhere(const LineTarget& target, const std::vector<double>& pose) {
  Vec3 shift(0.0);
  for (std::size_t j = 0; j < pose.size(); ++j) shift += pose[j] * target.mover->motion[j];
  return shift;
}

std::optional<Vec3> shift_of(const LineTarget& target, const std::vector<double>& pose) {
  const Mover& mover = *target.mover;
  for (std::size_t j = 0; j < pose.size(); ++j) {
    if (pose[j] < mover.range[j][0] || pose[j] > mover.range[j][1]) return {};
  }
  return shift_anywhere(target, pose);
}

TargetBox::TargetBox(const LineTarget& target) : target_(target) {
  if (!target.raised) box_ = shape::bounds(target.mover->solid->mesh);
}

std::optional<Box> TargetBox::at(const std::vector<double>& pose) const {
  if (!shift_of(target_, pose)) return {};
  return anywhere(pose);
}

Box TargetBox::anywhere(const std::vector<double>& pose) const {
  if (!target_.raised) return translated(box_, shift_anywhere(target_, pose));
  return grown(target_.raised->reach_box(pose), target_.raised->largest_error_mm());
}

PosedShapes::PosedShapes(const FreeRunShapes& shapes, const PoseGrid& grid)
    : shapes_(shapes), boxes_(shapes.shapes.size()) {
  for (std::size_t i = 0; i < boxes_.size(); ++i) boxes_[i] = boxed(shapes.shapes[i].points);
  for (std::size_t p = 0; p < grid.size(); ++p) {
    std::size_t rest = p;
    std::size_t index = 0;
    std::size_t stride = 1;
    for (std::size_t j = 0; j < grid.values.size(); ++j) {
      const std::size_t at = rest % grid.values[j].size();
      rest /= grid.values[j].size();
      if (shapes.grid.values[j].size() > 1) index += at * stride;
      stride *= shapes.grid.values[j].size();
    }
    poses_.push_back(grid.pose(p));
    shape_.push_back(index);
    const RodShape& s = shapes.shapes[index];
    shifts_.push_back(s.points.empty() ? Vec3(0.0)
                                       : shapes.solver.start_at(poses_[p]) - s.points.front());
  }
}

std::vector<Vec3> PosedShapes::points(std::size_t p) const {
  std::vector<Vec3> moved = shape(p).points;
  for (Vec3& x : moved) x += shifts_[p];
  return moved;
}

double PosedShapes::bound(const Box& box, std::size_t p) const {
  double nearest = std::numeric_limits<double>::infinity();
  if (!shape(p).converged()) return nearest;
  const Box moved = translated(box, -shifts_[p]);
  for (const Box& b : boxes_[shape_[p]].boxes) nearest = std::min(nearest, box_distance(b, moved));
  return nearest;
}

double PosedShapes::motion(std::size_t p, std::size_t q) const {
  const std::vector<Vec3>& a = shape(p).points;
  const std::vector<Vec3>& b = shape(q).points;
  const Vec3 by = shifts_[q] - shifts_[p];
  double most = 0.0;
  for (std::size_t k = 0; k < std::min(a.size(), b.size()); ++k) {
    most = std::max(most, glm::length(b[k] - a[k] + by));
  }
  return most;
}

}  // namespace bight::study
