#pragma once
// Distance and contact of two meshes at single poses by FCL, and the smallest distance over a
// travel by descent from many poses: an upper bound that does not share a line with the library.

#include <memory>
#include <span>

#include "clearance/travel.h"
#include "shape/mesh.h"

namespace bight::oracle {

struct Witness {
  double distance_mm = 0.0;
  Vec3 point_a{0.0};  ///< on A as moved
  Vec3 point_b{0.0};
};

/// Two meshes of which the first is moved by translations.
class FclPair {
 public:
  FclPair(const shape::Mesh& a, const shape::Mesh& b);
  ~FclPair();
  FclPair(FclPair&&) noexcept;
  FclPair& operator=(FclPair&&) noexcept;

  /// Distance of the surfaces with A moved by t; 0 when they touch or cross.
  Witness distance(const Vec3& t) const;
  /// FCL takes `cap` as an upper bound that is known already: the result is min(distance, cap), and
  /// cheaper.
  double capped_distance(const Vec3& t, double cap) const;
  /// True when the surfaces touch or cross with A moved by t.
  bool surfaces_meet(const Vec3& t) const;
  /// True when a closed mesh holds a piece of the other. Only meaningful where the surfaces do not
  /// meet (FCL does not see containment).
  bool contained(const Vec3& t) const;
  /// Surfaces meet or one holds the other.
  bool contact(const Vec3& t) const { return surfaces_meet(t) || contained(t); }

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

struct TravelMinimum {
  double distance_mm = 0.0;  ///< >= the true minimum; 0 for contact
  clearance::Pose pose;
  bool contained = false;
};

/// Descends from every corner of the travel, its centre and the given poses: with the nearest
/// points held fixed the best pose is a small least-squares problem in the joint box, then FCL
/// finds new nearest points; the distance never grows.
TravelMinimum minimise_over_travel(const FclPair& pair, const clearance::Travel& travel,
                                   std::span<const clearance::Pose> starts);

}  // namespace bight::oracle
