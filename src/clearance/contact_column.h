#pragma once
// Contact of a pair along a column of poses: all joints but one lie in a box, the last, the column
// joint, runs along a line.
//
// A hierarchy over each part finds the highest and the lowest contact among all pairs of triangles
// (column_interval.h); contact all the way between them is proved from single points
// (meeting_points.h).

#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <vector>

#include "clearance/column_interval.h"
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
  struct Node {
    Vec3 lower{0.0};
    Vec3 upper{0.0};
    std::uint32_t link = 0;  // first child, or triangle
    bool leaf = false;
  };
  struct Side {
    const shape::Solid* solid = nullptr;
    std::vector<Node> nodes;
    std::vector<Triangle> triangles;
    std::vector<Vec3> pieces;  // column space
  };
  Side make_side(const shape::Solid& solid) const;
  Vec3 to_world(const Vec3& column, const shape::Solid& solid) const;
  template <bool Up>
  std::optional<ColumnEnd> search(const Footprint& at, JointRange window, double slack_mm,
                                  TrianglePair start, std::uint64_t& leaf_pairs) const;
  template <bool PointOfA>
  void add_proof(const Footprint& at, JointRange range, const Vec3& point,
                 std::vector<JointRange>& proved) const;
  Vec3 translation_inside(const Footprint& at, const Triangle& a, const Triangle& b,
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
