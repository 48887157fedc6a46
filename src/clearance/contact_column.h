#pragma once
// Contact of a pair along a column of poses: all joints but one lie in a box, the last, the column
// joint, runs along a line.
//
// A moved by t touches B at triangles (T_A, T_B) exactly when t lies in the convex polytope
// P = T_B + (-T_A). With the box of the other joints as a zonotope R and the column joint along z,
// the values s with contact are those where s z lies in K = P + (-R): one interval. Every direction
// n with n_z > 0 bounds it from above by h_K(n) / n_z (h: support function), and the bound is exact
// when n runs over the facet normals of K, which are cross products of edges of T_A, T_B and R
// (separating axes; Gottschalk, Lin, Manocha 1996). So bounds are true whatever happens to the
// normals by rounding, and tight otherwise. A hierarchy over each part finds the extreme intervals.

#include <array>
#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <vector>

#include "clearance/moving_pair.h"

namespace bight::clearance {

/// Two triangles by their number in the meshes; where to start the next search.
struct TrianglePair {
  static constexpr std::uint32_t k_none = std::numeric_limits<std::uint32_t>::max();
  std::uint32_t a = k_none;
  std::uint32_t b = k_none;
  bool known() const { return a != k_none; }
};

/// An end of the contact along a column.
struct ColumnEnd {
  double value = 0.0;  ///< of the column joint: no contact beyond it
  TrianglePair pair;   ///< has contact within the slack of it
};

/// One pair, prepared for columns along one joint. Const calls may run in parallel.
class ContactColumn {
 public:
  ContactColumn(const MovingPair& pair, std::span<const JointRange> joints,
                std::size_t column_joint);

  /// The box of the other joints as seen by this pair; the column joint's entry has no say.
  struct Footprint {
    Vec3 center{0.0};        // translation at the middle of the box, column space
    std::vector<Vec3> half;  // half generators of the zonotope R, zero ones left out
    Vec3 half_box{0.0};      // half size of the box around R
    Vec3 center_world{0.0};  // translation at the middle of the box, mm
  };
  Footprint footprint(std::span<const JointRange> box) const;

  /// The pair does not move along the column: contact holds for all of a column or for none of it.
  bool constant_along_column() const { return !(unit_ > 0.0); }

  /// Largest (smallest) value of the column joint within the window at which A and B may touch for
  /// some values of the other joints; nothing when there is none. True as a bound: beyond the value
  /// nothing touches within the window. At most `slack_mm` of motion beyond the exact end.
  std::optional<ColumnEnd> highest(const Footprint& at, JointRange window, double slack_mm,
                                   TrianglePair start, std::uint64_t& leaf_pairs) const;
  std::optional<ColumnEnd> lowest(const Footprint& at, JointRange window, double slack_mm,
                                  TrianglePair start, std::uint64_t& leaf_pairs) const;

  /// Some piece of one part lies inside the other. Only for poses at which nothing touches; then it
  /// holds for all poses that can be reached from there without touching.
  bool contained(const Footprint& at, double value) const;

  /// Parts of the window in which the pair is proved to be in contact for all values of the other
  /// joints: a point of one part, found where the triangles of `pair` meet or `depth_mm` inside
  /// both parts from there, stays inside the other. `from_above`: take the upper end of the pair's
  /// contact. Sorted, disjoint.
  std::vector<JointRange> proved_contact(const Footprint& at, JointRange window, TrianglePair pair,
                                         bool from_above, double depth_mm) const;

 private:
  using Triangle = std::array<Vec3, 3>;
  struct Node {
    Vec3 lower;
    Vec3 upper;
    std::uint32_t link = 0;  // first child, or triangle
    bool leaf = false;
  };
  struct Side {
    const shape::Solid* solid = nullptr;
    std::vector<Node> nodes;
    std::vector<Triangle> triangles;
    std::vector<Vec3> pieces;  // column space
  };
  struct Interval {
    double lower;
    double upper;
  };
  struct MeetingPoints {  // the same place as a point of A (where A has zero translation) and of B
    Vec3 of_a;
    Vec3 of_b;
  };

  Side make_side(const shape::Solid& solid) const;
  Vec3 to_world(const Vec3& column, const shape::Solid& solid) const;
  std::optional<Interval> contact(const Triangle& a, const Triangle& b, const Footprint& at,
                                  Interval window) const;
  template <bool Up>
  std::optional<ColumnEnd> search(const Footprint& at, JointRange window, double slack_mm,
                                  TrianglePair start, std::uint64_t& leaf_pairs) const;
  template <bool PointOfA>
  void add_proof(const Footprint& at, JointRange range, const Vec3& point,
                 std::vector<JointRange>& proved) const;
  MeetingPoints deepest_corners(TrianglePair pair, bool from_above) const;
  std::optional<MeetingPoints> overlap_middle(const Footprint& at, TrianglePair pair) const;
  std::optional<MeetingPoints> crossing_middle(const Footprint& at, TrianglePair pair,
                                               bool from_above, double depth) const;

  Mat3 to_column_{1.0};  // world directions to column space: the column joint moves along z
  Mat3 from_column_{1.0};
  Vec3 offset_{0.0};       // origin of A minus origin of B, column space
  bool flipped_ = false;   // the map mirrors, so normals of mapped triangles point inward
  double unit_ = 0.0;      // mm per unit of the column joint
  double rounding_ = 0.0;  // mm: bounds are widened by it
  std::size_t column_ = 0;
  std::vector<Vec3> directions_;         // world
  std::vector<Vec3> column_directions_;  // column space
  Side a_;
  Side b_;
};

}  // namespace bight::clearance
