#pragma once
// A line with bending stiffness in motion, stepped through time, its ends held, free or on a
// trolley. For what swings after a rapid move (rod/rapid_swing.h). The same discrete rod as
// rod/spatial_rod.h: joints with the line's mass, links of exact length.
//
// Each step is the implicit midpoint rule with the bending energy's difference quotient for its
// gradient and the links' tensions along the mean direction of the step (Simo and Tarnow, ZAMP 43,
// 1992; Gonzalez, Physica D 132, 1999): links keep their length, and without moving ends the energy
// is kept exactly, whatever the step. So it neither grows nor fades: no damping is in it (real
// lines swing less). Second order in the step.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "rod/banded.h"
#include "rod/spatial_rod.h"

namespace bight::rod {

/// A mass that carries the line at a joint and runs without friction along a straight track. The
/// line is hinged there: what is before and what is after it are lines of their own, with links of
/// their own length.
struct Trolley {
  std::size_t joint = 0;      ///< may be the first or the last: an end that is not held otherwise
  double at_mm = 0.0;         ///< of the line up to there; 0 and the line's length at its ends
  Vec3 along{1.0, 0.0, 0.0};  ///< unit vector of the track
  double mass_kg = 0.0;       ///< >= 0
};

/// No obstacles, no limits, no slide, no plane (BIGHT_CHECK).
class RodMotion {
 public:
  /// At rest in the given joints; what they miss the links' length by is made up in the first step.
  /// `tolerance`: largest unbalanced force on a joint, over the line's weight; 1e-11 is where
  /// rounding begins to show.
  RodMotion(const SpatialRodProblem& problem, std::span<const Vec3> joints,
            double tolerance = 1e-11, const std::optional<Trolley>& trolley = {});

  /// Both ends move to the given places (an end only when it is held). False, and nothing moved,
  /// when the equations could not be solved: the step is too long.
  bool step(double seconds, const Vec3& start, const Vec3& end);

  const std::vector<Vec3>& points() const { return position_; }
  const std::vector<Vec3>& velocities_mm_s() const { return velocity_; }
  void set_velocities(std::span<const Vec3> mm_s);
  double energy_Nmm() const;       ///< kinetic + bending + weight x height
  double weight_N() const;         ///< of line and trolley
  double longest_stretch() const;  ///< largest error of a link's length, relative

 private:
  void coast(double seconds, const Vec3& start, const Vec3& end);
  double evaluate(double seconds);
  void factor(double seconds);
  void correct();
  bool is_fixed(std::size_t joint) const;
  bool is_trolley(std::size_t joint) const { return trolley_ && trolley_->joint == joint; }
  Mat3 free_ways(std::size_t joint) const;
  double link(std::size_t link) const;

  SpatialRodProblem problem_;
  double tolerance_;
  std::optional<Trolley> trolley_;
  double factored_s_ = 0.0;      ///< step for which the factors were made; 0: none
  double link_before_mm_ = 0.0;  ///< up to the trolley
  double link_after_mm_ = 0.0;   ///< and beyond; the same without one
  double stiffness_ = 0.0;       ///< EI, N mm^2
  std::vector<double> mass_kg_;
  std::vector<Vec3> position_;
  std::vector<Vec3> velocity_;
  std::vector<double> tension_;  ///< N, of the last step's middle

  std::vector<Vec3> next_;
  std::vector<Vec3> force_;
  std::vector<double> stretch_;
  BandedSymmetric matrix_;
  std::vector<double> step_;
};

}  // namespace bight::rod
