#pragma once
// A line with bending stiffness in motion, stepped through time, its ends held, free or on a
// carrier that gives way: a trolley, a boom, an elastic cord, a sheave. For what swings after a
// rapid move (rod/rapid_swing.h). The same discrete rod as rod/spatial_rod.h: joints with the
// line's mass, links of exact length.
//
// Each step is the implicit midpoint rule with the bending energy's difference quotient for its
// gradient and the links' tensions along the mean direction of the step (Simo and Tarnow, ZAMP 43,
// 1992; Gonzalez, Physica D 132, 1999): links keep their length, and without moving ends the energy
// is kept exactly, whatever the step. So it neither grows nor fades: no damping is in it (real
// lines swing less). Second order in the step.

#include <cstddef>
#include <optional>
#include <span>
#include <variant>
#include <vector>

#include "rod/banded.h"
#include "rod/spatial_rod.h"

namespace bight::rod {

/// Runs without friction along a straight track.
struct Track {
  Vec3 along{1.0, 0.0, 0.0};  ///< unit vector
};

/// Turns without friction, level, about an upright post; without inertia of its own but the
/// carrier's mass at its tip.
struct Arm {
  Vec3 post{0.0};  ///< its height does not count
  double length_mm = 0.0;
};

/// Pulls like a spring beyond its length, not at all below.
struct Cord {
  Vec3 from{0.0};
  double length_mm = 0.0;
  double stiffness_N_m = 0.0;
};

/// Stays where it is held and lets the line slide over it without friction, from what lies beyond
/// `at_mm` to what is before. Where no line lies on one side, something else pulls there. The links
/// on either side keep one length all the while: what the line's own sliding adds to its momentum
/// is left out, and the mass of a joint follows the links in its weight only. No point mass but at
/// the line's end.
struct Sheave {
  double pull_N = 0.0;  ///< against sliding towards what is before, with at_mm there
  double pull_less_N_mm = 0.0;
  double slid_mm = 0.0;  ///< at the start of the motion, towards what is before
};

/// What carries the line at a joint and gives way. The line is hinged there: what is before and
/// what is after it are lines of their own, with links of their own length. Places are those at the
/// start of the motion; they move with step()'s `carrier`.
struct Carrier {
  std::size_t joint = 0;  ///< may be the first or the last: an end that is not held otherwise
  double at_mm = 0.0;     ///< of the line up to there; 0 and the line's length at its ends
  double mass_kg = 0.0;   ///< >= 0; of a sheave: of what moves with the line that slides over it
  std::variant<Track, Arm, Cord, Sheave> way;
};

/// No obstacles, no limits, no slide, no plane (BIGHT_CHECK).
class RodMotion {
 public:
  /// At rest in the given joints; what they miss the links' length by is made up in the first step.
  /// `tolerance`: largest unbalanced force on a joint, over the line's weight; 1e-11 is where
  /// rounding begins to show.
  RodMotion(const SpatialRodProblem& problem, std::span<const Vec3> joints,
            double tolerance = 1e-11, const std::optional<Carrier>& carrier = {});

  /// Both ends move to the given places (an end only when it is held), and what holds the carrier
  /// to `carrier` from where it was at the start. False, and nothing moved, when the equations
  /// could not be solved: the step is too long.
  bool step(double seconds, const Vec3& start, const Vec3& end, const Vec3& carrier = Vec3(0.0));

  const std::vector<Vec3>& points() const { return position_; }
  const std::vector<Vec3>& velocities_mm_s() const { return velocity_; }
  void set_velocities(std::span<const Vec3> mm_s);
  double energy_Nmm() const;                ///< kinetic + bending + weight x height + carrier
  double weight_N() const;                  ///< of line and carrier
  double slid_mm() const { return slid_; }  ///< over the sheave, towards what is before it
  double longest_stretch() const;  ///< largest error of a length of links and arm, relative

 private:
  void coast(double seconds, const Vec3& start, const Vec3& end, const Vec3& carrier);
  double evaluate(double seconds);
  void factor(double seconds);
  void correct();
  bool is_fixed(std::size_t joint) const;
  bool is_carrier(std::size_t joint) const { return carrier_ && carrier_->joint == joint; }
  template <typename Way>
  const Way* way() const {
    return carrier_ ? std::get_if<Way>(&carrier_->way) : nullptr;
  }
  double pull_of_arm();
  void pull_of_cord();
  void add_carrier();
  void slide(double seconds);
  void add_border(double seconds);
  Mat3 free_ways(std::size_t joint) const;
  double link(std::size_t link, double slid) const;
  double link_rate(std::size_t link) const;
  double weight_N_mm() const;  ///< of the line

  SpatialRodProblem problem_;
  double tolerance_;
  std::optional<Carrier> carrier_;
  Vec3 held_{0.0};  ///< how far what holds the carrier has moved
  Vec3 next_held_{0.0};
  double arm_tension_N_ = 0.0;  ///< of the last step's middle
  double arm_stretch_ = 0.0;
  double slid_ = 0.0;
  double next_slid_ = 0.0;
  double slid_mm_s_ = 0.0;
  double slide_force_N_ = 0.0;         ///< unbalanced, against sliding on
  std::vector<double> border_;         ///< of the matrix: the derivative by what has slid,
  std::vector<double> border_solved_;  ///< the factors applied to it,
  double corner_ = 0.0;                ///< and that of the force
  double factored_s_ = 0.0;            ///< step for which the factors were made; 0: none
  double stiffness_ = 0.0;             ///< EI, N mm^2
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
