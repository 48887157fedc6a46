#pragma once
// A line with bending stiffness in motion, stepped through time: how far it swings after its ends
// stop, in its plane and across it. The same discrete rod as rod/spatial_rod.h: joints with the
// line's mass, links of exact length.
//
// Each step is the implicit midpoint rule with the bending energy's difference quotient for its
// gradient and the links' tensions along the mean direction of the step (Simo and Tarnow, ZAMP 43,
// 1992; Gonzalez, Physica D 132, 1999): links keep their length, and without moving ends the energy
// is kept exactly, whatever the step. So it neither grows nor fades: no damping is in it (real
// lines swing less). Second order in the step.

#include <span>
#include <vector>

#include "rod/banded.h"
#include "rod/spatial_rod.h"

namespace bight::rod {

/// No obstacles, no limits, no slide, no plane (BIGHT_CHECK).
class RodMotion {
 public:
  /// At rest in the given joints; what they miss the links' length by is made up in the first step.
  /// `tolerance`: largest unbalanced force on a joint, over the line's weight; 1e-11 is where
  /// rounding begins to show.
  RodMotion(const SpatialRodProblem& problem, std::span<const Vec3> joints,
            double tolerance = 1e-11);

  /// Both ends move to the given places (the end only when it is held). False, and nothing moved,
  /// when the equations could not be solved: the step is too long.
  bool step(double seconds, const Vec3& start, const Vec3& end);

  const std::vector<Vec3>& points() const { return position_; }
  const std::vector<Vec3>& velocities_mm_s() const { return velocity_; }
  void set_velocities(std::span<const Vec3> mm_s);
  double energy_Nmm() const;  ///< kinetic + bending + weight x height
  double weight_N() const;
  double longest_stretch() const;  ///< largest error of a link's length, relative

 private:
  void coast(double seconds, const Vec3& start, const Vec3& end);
  double evaluate(double seconds);
  void factor(double seconds);
  void correct();
  bool is_fixed(std::size_t joint) const;

  SpatialRodProblem problem_;
  double tolerance_;
  double factored_s_ = 0.0;  ///< step for which the factors were made; 0: none
  double link_ = 0.0;        ///< mm
  double stiffness_ = 0.0;   ///< EI, N mm^2
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

/// A straight rapid move of the machine that stops with the ends in their places of the problem:
/// up to speed, on, and down to rest.
struct RapidMove {
  double distance_mm = 0.0;
  double speed_mm_s = 0.0;
  double acceleration_mm_s2 = 0.0;
  Vec3 start_rate{0.0};  ///< displacement of the start per mm of the move
  Vec3 end_rate{0.0};
};

struct SwingOptions {
  double step_s = 0.01;
  double watched_s = 2.0;  ///< after the stop
};

/// Displacements from rest, of the joint that moves most, at any time after the stop. `across` is
/// level and at right angles to the line of the ends (or to the clamps where the ends are above one
/// another).
struct SwingResult {
  RodReport report;  ///< `not_converged`: no shape along the way, or a step that did not settle
  double across_mm = 0.0;
  double in_plane_mm = 0.0;
  std::vector<Vec3> rest;                 ///< joints at rest after the move
  std::vector<std::vector<Vec3>> frames;  ///< joints after the stop, one a step
  bool converged() const { return report.converged(); }
};

/// `rest`: joints of the shape in which the line hangs after the move. The shape before it is
/// followed from there, so it is the one that hangs over to it without a snap.
SwingResult swing_after_move(const SpatialRodProblem& problem, std::span<const Vec3> rest,
                             const RapidMove& move, const SwingOptions& options = {});

}  // namespace bight::rod
