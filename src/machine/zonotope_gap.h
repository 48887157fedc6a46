#pragma once
// Distance of a box to everything that a point can reach when several joints move it: the
// zonotope origin + sum of value_k * direction_k.

#include <optional>
#include <vector>

#include "base/box.h"
#include "base/vec.h"

namespace bight::machine {

/// All points origin + sum of value_k * direction_k with value_k in [lower_k, upper_k].
struct Zonotope {
  struct Generator {
    Vec3 direction{0.0};
    double lower = 0.0;
    double upper = 0.0;
  };
  Vec3 origin{0.0};
  std::vector<Generator> generators;
};

/// The nearest points of a zonotope and a box.
struct ZonotopeGap {
  double distance = 0.0;       ///< mm; 0 when they share a point
  double lower_bound = 0.0;    ///< mm: proved by a separating plane; `distance` up to rounding
  Vec3 towards_box{0.0};       ///< unit normal of that plane; zero when they share a point
  std::vector<double> values;  ///< of the generators at the nearest point
};

/// Distance by the point of smallest norm in the difference of both, which is a polytope too
/// (P. Wolfe, "Finding the nearest point in a polytope", Mathematical Programming 11, 1976): each
/// round replaces the current face by one that is nearer, so it ends after finitely many.
ZonotopeGap gap_to_box(const Zonotope& zonotope, const Box& box);

/// Smallest s for which some point of the zonotope moved by s g comes within `radius` of the box;
/// nothing when none does. Each step goes as far as the separating plane allows, so nothing is
/// stepped over: Newton's method on a convex function, from its outer side.
std::optional<double> first_contact(const Zonotope& zonotope, const Vec3& g, const Box& box,
                                    double radius);

}  // namespace bight::machine
