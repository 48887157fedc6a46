#include "oracle/fcl_oracle.h"

#include <fcl/fcl.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "oracle/inside_oracle.h"

namespace bight::oracle {

namespace {

using Model = fcl::BVHModel<fcl::OBBRSSd>;

std::shared_ptr<Model> make_model(const shape::Mesh& mesh) {
  auto model = std::make_shared<Model>();
  model->beginModel(static_cast<int>(mesh.triangles.size()),
                    static_cast<int>(3 * mesh.triangles.size()));
  const auto v = [&](std::uint32_t i) {
    const Vec3& p = mesh.vertices[i];
    return fcl::Vector3d(p.x, p.y, p.z);
  };
  for (const auto& t : mesh.triangles) model->addTriangle(v(t[0]), v(t[1]), v(t[2]));
  model->endModel();
  return model;
}

Vec3 to_vec(const fcl::Vector3d& v) {
  return {v.x(), v.y(), v.z()};
}

fcl::Transform3d moved_by(const Vec3& t) {
  fcl::Transform3d transform = fcl::Transform3d::Identity();
  transform.translation() = fcl::Vector3d(t.x, t.y, t.z);
  return transform;
}

bool holds(const shape::Mesh& outer, const std::vector<Vec3>& points, const Vec3& t) {
  return std::any_of(points.begin(), points.end(),
                     [&](const Vec3& p) { return std::abs(winding_number(outer, p + t)) > 0.5; });
}

// The pose in the joint box that brings `a` (a point of A at joint values zero) nearest to `b`:
// coordinate descent on a convex quadratic.
void approach(const clearance::Travel& travel, const Vec3& a, const Vec3& b,
              clearance::Pose& pose) {
  Vec3 gap = a + clearance::translation(travel, pose) - b;
  for (int sweep = 0; sweep < 100; ++sweep) {
    double moved = 0.0;
    for (std::size_t i = 0; i < travel.size(); ++i) {
      const Vec3& d = travel[i].direction;
      const double dd = glm::dot(d, d);
      if (!(dd > 0.0)) continue;
      const double q =
          std::clamp(pose[i] - glm::dot(gap, d) / dd, travel[i].lower, travel[i].upper);
      gap += (q - pose[i]) * d;
      moved += std::abs(q - pose[i]) * std::sqrt(dd);
      pose[i] = q;
    }
    if (!(moved > 1e-7 * glm::length(gap))) break;
  }
}

}  // namespace

struct FclPair::Impl {
  shape::Mesh mesh_a;
  shape::Mesh mesh_b;
  std::shared_ptr<Model> a;
  std::shared_ptr<Model> b;
  std::vector<Vec3> points_a;  // one a piece, empty when the other mesh is open
  std::vector<Vec3> points_b;
};

FclPair::FclPair(const shape::Mesh& a, const shape::Mesh& b)
    : impl_(std::make_unique<Impl>(Impl{a, b, make_model(a), make_model(b), {}, {}})) {
  if (is_closed(b)) impl_->points_a = piece_points(a);
  if (is_closed(a)) impl_->points_b = piece_points(b);
}

FclPair::~FclPair() = default;
FclPair::FclPair(FclPair&&) noexcept = default;
FclPair& FclPair::operator=(FclPair&&) noexcept = default;

Witness FclPair::distance(const Vec3& t) const {
  const fcl::CollisionObjectd a(impl_->a, moved_by(t));
  const fcl::CollisionObjectd b(impl_->b, fcl::Transform3d::Identity());
  fcl::DistanceRequestd request;
  request.enable_nearest_points = true;
  request.rel_err = 0.0;
  request.abs_err = 0.0;
  fcl::DistanceResultd result;  // new each time: a used one keeps its old minimum
  fcl::distance(&a, &b, request, result);
  Witness w;
  w.distance_mm = std::max(0.0, result.min_distance);
  // FCL gives the points of a mesh in the mesh's own frame.
  w.point_a = to_vec(result.nearest_points[0]);
  w.point_b = to_vec(result.nearest_points[1]);
  return w;
}

double FclPair::capped_distance(const Vec3& t, double cap) const {
  const fcl::CollisionObjectd a(impl_->a, moved_by(t));
  const fcl::CollisionObjectd b(impl_->b, fcl::Transform3d::Identity());
  const fcl::DistanceRequestd request;
  fcl::DistanceResultd result;
  result.min_distance = cap;
  fcl::distance(&a, &b, request, result);
  return std::max(0.0, result.min_distance);
}

bool FclPair::surfaces_meet(const Vec3& t) const {
  const fcl::CollisionObjectd a(impl_->a, moved_by(t));
  const fcl::CollisionObjectd b(impl_->b, fcl::Transform3d::Identity());
  const fcl::CollisionRequestd request;
  fcl::CollisionResultd result;
  return fcl::collide(&a, &b, request, result) > 0;
}

bool FclPair::contained(const Vec3& t) const {
  return holds(impl_->mesh_b, impl_->points_a, t) || holds(impl_->mesh_a, impl_->points_b, -t);
}

TravelMinimum minimise_over_travel(const FclPair& pair, const clearance::Travel& travel,
                                   std::span<const clearance::Pose> starts) {
  std::vector<clearance::Pose> poses(starts.begin(), starts.end());
  const std::size_t corners = std::size_t{1} << travel.size();
  for (std::size_t c = 0; c <= corners; ++c) {
    clearance::Pose pose;
    for (std::size_t i = 0; i < travel.size(); ++i) {
      const clearance::Axis& x = travel[i];
      pose.push_back(c == corners ? 0.5 * (x.lower + x.upper)
                                  : (((c >> i) & 1U) != 0 ? x.upper : x.lower));
    }
    poses.push_back(pose);
  }
  TravelMinimum best;
  best.distance_mm = std::numeric_limits<double>::infinity();
  for (clearance::Pose& pose : poses) {
    double last = std::numeric_limits<double>::infinity();
    for (int step = 0; step < 60; ++step) {
      const Vec3 t = clearance::translation(travel, pose);
      const Witness w = pair.distance(t);
      if (w.distance_mm < best.distance_mm) best = {w.distance_mm, pose, false};
      if (step == 0 && w.distance_mm > 0.0 && pair.contained(t)) return {0.0, pose, true};
      if (!(w.distance_mm > 0.0)) return best;
      // Stop when little is gained, or when this start is on its way to no better a minimum.
      if (!(w.distance_mm < last * (1.0 - 1e-6))) break;
      if (step > 10 && w.distance_mm > 1.5 * best.distance_mm) break;
      last = w.distance_mm;
      approach(travel, w.point_a - t, w.point_b, pose);
    }
  }
  if (best.distance_mm > 0.0 && pair.contained(clearance::translation(travel, best.pose)))
    return {0.0, best.pose, true};
  return best;
}

}  // namespace bight::oracle
