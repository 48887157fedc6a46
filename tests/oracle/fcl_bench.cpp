#include "oracle/fcl_bench.h"

#include <fcl/fcl.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace bight::oracle {

struct FclModel::Impl {
  fcl::BVHModel<fcl::OBBRSSd> model;
};

FclModel::FclModel(const shape::Mesh& mesh) : impl_(std::make_unique<Impl>()) {
  std::vector<fcl::Vector3d> vertices;
  vertices.reserve(mesh.vertices.size());
  for (const Vec3& v : mesh.vertices) vertices.emplace_back(v.x, v.y, v.z);
  std::vector<fcl::Triangle> triangles;
  triangles.reserve(mesh.triangles.size());
  for (const auto& t : mesh.triangles) triangles.emplace_back(t[0], t[1], t[2]);
  impl_->model.beginModel(static_cast<int>(triangles.size()), static_cast<int>(vertices.size()));
  impl_->model.addSubModel(vertices, triangles);
}

FclModel::~FclModel() = default;

void FclModel::build() {
  impl_->model.endModel();
}

Exceeds exceeds_by_branch_and_bound(const FclPair& pair, const clearance::Travel& travel,
                                    double distance_mm, double resolution_mm,
                                    std::size_t query_limit) {
  Exceeds result;
  std::vector<clearance::Travel> open{travel};
  while (!open.empty()) {
    const clearance::Travel cell = open.back();
    open.pop_back();
    Vec3 middle(0.0);
    double squared = 0.0;
    std::size_t longest = 0;
    double longest_length = -1.0;
    for (std::size_t i = 0; i < cell.size(); ++i) {
      const clearance::Axis& axis = cell[i];
      middle += 0.5 * (axis.lower + axis.upper) * axis.direction;
      const double length = (axis.upper - axis.lower) * glm::length(axis.direction);
      squared += length * length;
      if (length > longest_length) {
        longest_length = length;
        longest = i;
      }
    }
    if (result.queries++ == query_limit) return result;
    const double diagonal = std::sqrt(squared);
    const double needed = 0.5 * diagonal + distance_mm;
    const double distance = pair.capped_distance(middle, needed);
    if (distance >= needed) continue;
    if (distance <= distance_mm || diagonal <= resolution_mm) {
      result.answer = Answer::no;
      return result;
    }
    for (const bool upper : {false, true}) {
      clearance::Travel half = cell;
      clearance::Axis& axis = half[longest];
      (upper ? axis.lower : axis.upper) = 0.5 * (axis.lower + axis.upper);
      open.push_back(half);
    }
  }
  result.answer = Answer::yes;
  return result;
}

double sampled_distance(const FclPair& pair, const Vec3& from, const Vec3& to, double step_mm) {
  const auto steps = static_cast<int>(std::ceil(glm::distance(from, to) / step_mm));
  double best = std::numeric_limits<double>::infinity();
  for (int i = 0; i <= steps; ++i) {
    const double s = steps == 0 ? 0.0 : static_cast<double>(i) / steps;
    best = std::min(
        best, pair.capped_distance(glm::mix(from, to, s), std::numeric_limits<double>::infinity()));
  }
  return best;
}

}  // namespace bight::oracle
