#pragma once
// One line of a free run as a rod with bending stiffness: its shape and forces at a pose. Planar
// where the clamps and the ends share a vertical plane at every pose (pinned ends always do), in
// space otherwise.

#include <functional>
#include <optional>
#include <vector>

#include "free/anchor_pair.h"
#include "rod/planar_rod.h"
#include "rod/spatial_rod.h"

namespace bight::study {

struct HangingRod {
  double length_mm = 0.0;
  double mass_kg_m = 0.0;
  double stiffness_Nm2 = 0.0;
};

/// The stiffness that a rod is solved with: its own, and for a limp line (0, or next to it) the
/// least that still has a rod's equations: w L^3 / 1e9, whose bends at an end are spread over
/// (EI / w)^(1/3), a thousandth of the length, far less than a link.
double solved_stiffness_Nm2(const HangingRod& rod);

/// Everything but `status` means something only when converged(). Forces and moments are those of
/// the supports on the line.
struct RodShape {
  rod::RodStatus status = rod::RodStatus::invalid;
  std::vector<Vec3> points;   ///< joints from start to end, equally far apart along the line
  std::optional<Vec3> along;  ///< planar: horizontal unit vector of the line's plane
  double radius_mm = 0.0;     ///< smallest, of the centre line
  double radius_at_mm = 0.0;  ///< arc length from the start
  Vec3 lowest{0.0};
  Vec3 start_force_N{0.0};
  Vec3 end_force_N{0.0};
  double greatest_pull_N = 0.0;  ///< tension along the line
  double start_moment_Nmm = 0.0;
  double end_moment_Nmm = 0.0;
  double energy_Nmm = 0.0;
  bool converged() const { return status == rod::RodStatus::converged; }
};

/// What a line does to its ends: part of its shape, in a fraction of the time. Forces are those of
/// the supports on the line, tangents go into the line.
struct RodEnds {
  rod::RodStatus status = rod::RodStatus::invalid;
  Vec3 start_force_N{0.0};
  Vec3 end_force_N{0.0};
  Vec3 start_tangent{0.0};
  Vec3 end_tangent{0.0};
  bool converged() const { return status == rod::RodStatus::converged; }
};

/// One end on a support that rests where the line puts it.
struct RodHold {
  struct At {
    Vec3 shift{0.0};         ///< of the end, from where the anchors say
    double length_mm = 0.0;  ///< of the line; 0: as given
  };
  bool at_start = true;
  std::vector<bool> shaped_by;  ///< joints that change the shape, one entry a joint
  /// Nothing where the line does not reach. Called from several threads at once.
  std::function<std::optional<At>(const free::Pose&)> at;
};

inline constexpr int k_rod_segments = 48;

/// Not thread-safe: one a thread.
class FreeRunRod {
 public:
  /// `home`: the pose from which the number of turns between clamps is told.
  FreeRunRod(free::AnchorPair anchors, const HangingRod& rod, const free::Pose& home,
             int segments = k_rod_segments);
  FreeRunRod(free::AnchorPair anchors, RodHold hold, const HangingRod& rod, const free::Pose& home,
             int segments = k_rod_segments);

  /// The same ends, with as many turns between clamps, for another line or with other links.
  FreeRunRod changed(const HangingRod& rod, int segments = k_rod_segments) const;

  /// From the shape of the last call when that converged, else from the limp line.
  RodShape solve(const free::Pose& pose);
  RodEnds solve_ends(const free::Pose& pose);
  RodShape solve_cold(const free::Pose& pose);
  /// The shape nearest to given points (of any line between the ends of any pose).
  RodShape solve_from(const std::vector<Vec3>& points, const free::Pose& pose);

  /// From a shape at one pose to that at another, the line changed or not; steps when it does not
  /// come at once, and from the limp line when there is nothing to go on from.
  RodShape solve_near(const RodShape& shape, const free::Pose& pose);

  /// Ends that hold no direction across let the line's plane turn about the vertical: of a shape
  /// that bows to one side of its narrow chord and its mirror image the one of lower energy stays.
  /// `shape` is that of the last call.
  RodShape on_lower_side(RodShape shape, const free::Pose& pose);

  const free::AnchorPair& anchors() const { return anchors_; }
  /// Place of the start at a pose, also of one on a support.
  Vec3 start_at(const free::Pose& pose) const;
  /// True when the joint moves the ends against each other.
  bool shaped_by(std::size_t joint) const;
  const HangingRod& rod() const { return rod_; }
  bool planar() const { return planar_.has_value(); }

 private:
  void set_problem(const free::Pose& home, int segments);
  void set_plane(const free::Pose& home);
  void set_length(double length_mm);
  void set_pose(const free::Pose& pose);
  std::vector<double> angles_of(const std::vector<Vec3>& points) const;
  RodShape shape(rod::RodStatus status) const;
  void bend_as_limp(RodShape& shape) const;

  free::AnchorPair anchors_;
  std::optional<RodHold> hold_;
  HangingRod rod_;
  bool reaches_ = true;        ///< at the pose that was set
  bool turns_freely_ = false;  ///< the plane goes with the ends
  Vec3 along_{1.0, 0.0, 0.0};
  Vec3 start_{0.0};
  Vec3 end_{0.0};
  rod::PlanarRodProblem planar_problem_;
  rod::SpatialRodProblem spatial_problem_;
  std::optional<rod::PlanarRodSolver> planar_;
  std::optional<rod::SpatialRodSolver> spatial_;
};

/// Largest motion of a point of the line from one shape to another, against its start and within
/// its plane: what the motion of the ends does to the shape.
double shape_change(const RodShape& a, const RodShape& b);

}  // namespace bight::study
