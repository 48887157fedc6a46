#pragma once
// Distance of a swept triangle to a triangle: min |a + z - b| over a in A, b in B, z in Z, which is
// the distance of the origin to the convex polytope A + Z - B.
//
// Method: Gilbert, Johnson, Keerthi 1988 on support functions.

#include <array>
#include <cstdint>
#include <limits>
#include <span>
#include <vector>

#include "base/vec.h"
#include "clearance/zonotope.h"

namespace bight::clearance {

using Triangle = std::array<Vec3, 3>;

/// The distance lies in [lower, upper]. `lower` holds whatever rounding did to the iteration: it is
/// the best separation along a direction that was tried, less the rounding error of evaluating it.
/// `upper` is the length of |a + z - b| at actual points.
struct GjkResult {
  double lower = 0.0;
  double upper = std::numeric_limits<double>::infinity();
  int iterations = 0;
};

/// Options of one call, all mm.
struct GjkLimits {
  double prune = std::numeric_limits<double>::infinity();  ///< stop when lower > prune
  double rounding = 0.0;  ///< error of one support value along a unit direction: subtracted from
                          ///< lower; an upper not above it is contact (0)
};

/// Workspace and answer of one swept pair; the arrays keep their memory from call to call.
class SweptTriangles {
 public:
  /// Runs GJK from the direction `start` (any length; zero: from the triangles' middles). On return
  /// `start` is the direction of the nearest point, for the next call.
  GjkResult solve(const Triangle& a, const Triangle& b, const Zonotope& z, const GjkLimits& limits,
                  Vec3& start);

  /// After solve: the points a + z and b that attain `upper`, and the coefficients s of z.
  const Vec3& point_a() const { return point_a_; }
  const Vec3& point_b() const { return point_b_; }
  std::span<const double> coefficients() const { return s_; }

 private:
  double finish(const Triangle& a, const Triangle& b, const Zonotope& z);

  struct Corner {
    Vec3 point;      ///< a + z - b
    Vec3 direction;  ///< for which it is the lowest point: tells z
    std::uint8_t a;
    std::uint8_t b;
  };
  static Corner support(const Triangle& a, const Triangle& b, const Zonotope& z,
                        const Vec3& direction);

  std::array<Corner, 4> simplex_{};
  std::array<double, 4> weights_{};
  int size_ = 0;
  Vec3 point_a_{0.0};
  Vec3 point_b_{0.0};
  std::vector<double> s_;
};

}  // namespace bight::clearance
