#pragma once
// Bodies that a line may lie on or lean against, frictionless: how far a point is from each, and
// the derivatives of that distance.

#include <memory>
#include <variant>

#include "base/box.h"
#include "base/vec.h"

namespace bight::rod {

/// Everything below z is solid.
struct Floor {
  double z_mm = 0.0;
};

/// Everything behind the plane through `point` is solid; `normal` (unit) points out of it.
struct HalfSpace {
  Vec3 point{0.0};
  Vec3 normal{0.0, 0.0, 1.0};
};

/// A solid axis-aligned box.
struct SolidBox {
  Box box;
};

/// All points within `radius_mm` of the segment from `a` to `b` (a = b: a ball).
struct Capsule {
  Vec3 a{0.0};
  Vec3 b{0.0};
  double radius_mm = 0.0;
};

/// Signed distance (mm, negative inside), its gradient (unit) and Hessian (1/mm). Outside it has
/// continuous gradients; inside a box it is that of the nearest face.
struct Distance {
  double value_mm = 0.0;
  Vec3 normal{0.0, 0.0, 1.0};
  Mat3 curvature{0.0};
};

/// A body of any other form, for whoever can measure its distance (a mesh: study/mesh_contact.h).
class ContactSurface {
 public:
  virtual ~ContactSurface() = default;
  /// As above. Where the curvature is not known it may be 0: that costs iterations, not accuracy.
  /// Called from several threads at once.
  virtual Distance distance_to(const Vec3& point) const = 0;
};

/// A null surface makes a problem invalid.
using Obstacle =
    std::variant<Floor, HalfSpace, SolidBox, Capsule, std::shared_ptr<const ContactSurface>>;

Distance distance_to(const Obstacle& obstacle, const Vec3& point);

}  // namespace bight::rod
