#pragma once
// Contact of two triangles along a column of translations, in closed form.
//
// A moved by t touches B at triangles (T_A, T_B) exactly when t lies in the convex polytope
// P = T_B + (-T_A). Let all joints but one range over a box, so that t ranges over a zonotope R,
// and let the last move along z. The heights s with contact for some t in R are those where s z
// lies in K = P + (-R): one interval. Every direction n with n_z > 0 bounds it from above by h_K(n)
// / n_z (h: support function), and the bound is exact when n runs over the facet normals of K,
// which are cross products of edges of T_A, T_B and R (separating axes; Gottschalk, Lin, Manocha
// 1996). So the interval is true whatever rounding does to the normals, and tight where K has
// volume.

#include <array>
#include <optional>
#include <vector>

#include "base/vec.h"

namespace bight::clearance {

using Triangle = std::array<Vec3, 3>;

/// Heights along the column, mm.
struct Interval {
  double lower = 0.0;
  double upper = 0.0;
};

/// The translations t = center + sum of u_k half_k, -1 <= u_k <= 1, in column space.
struct Footprint {
  Vec3 center{0.0};
  std::vector<Vec3> half;  ///< none is zero
  Vec3 half_box{0.0};      ///< half size of the box around them
  Vec3 center_world{0.0};  ///< the translation at the middle in the frame of the plan
};

/// Heights s in the window at which A moved by t + s z touches B for some t of the footprint. Never
/// too small: widened by `rounding` (mm), the error of a height computed from coordinates of this
/// size (see k_column_rounding). Nothing when they cannot touch.
std::optional<Interval> contact_interval(const Triangle& a, const Triangle& b, const Footprint& at,
                                         Interval window, double rounding);

/// Rounding error of a height, relative to the largest coordinate: a few units in the last place of
/// a support value, times up to ten thousand from dividing by the z of a normal.
inline constexpr double k_column_rounding = 1e-11;

}  // namespace bight::clearance
