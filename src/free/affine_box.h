#pragma once
// The image of a box of joint values under an affine map to space: where one anchor, or the vector
// between two, can be. Extremes of its length and of its components.

#include <vector>

#include "base/vec.h"
#include "free/anchor_pair.h"

namespace bight::free {

/// base + sum of q_i * direction[i], lower[i] <= q_i <= upper[i].
struct AffineBox {
  Vec3 base{0.0};
  std::vector<Vec3> direction;
  Pose lower;
  Pose upper;
};

/// Images of the pair's joint box: the vector from start to end, and its horizontal part.
AffineBox difference(const AnchorPair& pair);
AffineBox horizontal_difference(const AnchorPair& pair);

Vec3 image(const AffineBox& box, const Pose& pose);

/// Smallest (largest) value of `direction . image` over the box, to rounding.
double least_along(const AffineBox& box, const Vec3& direction);
double most_along(const AffineBox& box, const Vec3& direction);

/// Image farthest from the origin: a corner. Joints that move nothing stay at their lower limit.
ExtremePose farthest_from_origin(const AffineBox& box);

/// Image nearest to the origin (see free/anchor_pair.h, `nearest`).
ExtremePose nearest_to_origin(const AffineBox& box);

/// Certified lower bound of the distance to the origin: the support of the box in the direction of
/// a point of it. Equals the distance when `point` is the nearest one.
double distance_below(const AffineBox& box, const Vec3& point);

}  // namespace bight::free
