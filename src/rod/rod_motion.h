#pragma once
// Lines with bending stiffness in motion, stepped through time, their ends held, free or on
// carriers that give way: any number of lines on a trolley, a boom, an elastic cord or a sheave,
// and lines in a row between trolleys. For what swings after a rapid move (rod/rapid_swing.h). The
// same discrete rod as rod/spatial_rod.h: joints with the line's mass, links of exact length.
//
// Each step is the implicit midpoint rule with the bending energy's difference quotient for its
// gradient and the links' tensions along the mean direction of the step (Simo and Tarnow, ZAMP 43,
// 1992; Gonzalez, Physica D 132, 1999): links keep their length, and without moving ends the energy
// is kept exactly, whatever the step. So it neither grows nor fades: no damping is in it (real
// lines swing less), and bumpers give back all that they take. Second order in the step.
//
// The lines meet at their carriers only: each is eliminated by itself, and what is left is a small
// system in the carriers' unknowns (Schur complement).

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "rod/banded.h"
#include "rod/carrier_motion.h"
#include "rod/line_motion.h"
#include "rod/spatial_rod.h"

namespace bight::rod {

/// No obstacles, no limits, no slide, no plane; at a carrier the line is hinged, not clamped; one
/// that slides over a sheave has no point mass but at its end, and keeps its length elsewhere. What
/// its joints miss the links' length by is made up in the first step (BIGHT_CHECK for the others).
struct MovingLine {
  SpatialRodProblem problem;                 ///< its length over a sheave: while nothing has slid
  std::vector<Vec3> joints;                  ///< at rest, at the start of the motion
  std::optional<std::size_t> start_carrier;  ///< index of what the start hangs on
  std::optional<std::size_t> end_carrier;
  Bumper bumper;
};

/// Places of the ends of a line; no effect on an end that is free or on a carrier.
struct LineEnds {
  Vec3 start{0.0};
  Vec3 end{0.0};
};

class RodMotion {
 public:
  /// `tolerance`: largest unbalanced force on a joint, over the weight of all; 1e-11 is where
  /// rounding begins to show. Lines and carriers in an order in which a line joins carriers whose
  /// unknowns are close (BandedSymmetric::k_half_width).
  explicit RodMotion(const std::vector<MovingLine>& lines,
                     const std::vector<Carrier>& carriers = {}, double tolerance = 1e-11);

  /// The ends of each line move to the given places, and what holds each carrier to `held` from
  /// where it was at the start. False, and nothing moved, when the step is too long: the equations
  /// could not be solved, or a bumper is pressed in it.
  bool step(double seconds, std::span<const LineEnds> ends, std::span<const Vec3> held = {});

  const LineMotion& line(std::size_t index = 0) const { return lines_[index].motion; }
  const CarrierMotion& carrier(std::size_t index = 0) const { return carriers_[index]; }
  void set_velocities(std::span<const Vec3> mm_s, std::size_t line = 0);
  double energy_Nmm() const;       ///< kinetic + bending + weight x height + carriers
  double weight_N() const;         ///< of lines and carriers
  double longest_stretch() const;  ///< largest error of a length of links and arms, relative

 private:
  /// How a line follows an unknown of its carriers.
  struct Follow {
    std::size_t unknown = 0;
    LineRates rates;
    std::vector<double> column;
    std::vector<double> solved;
  };
  struct Line {
    LineMotion motion;
    std::optional<std::size_t> start_carrier;
    std::optional<std::size_t> end_carrier;
    Vec3 start_offset{0.0};  ///< from the carrier's place
    Vec3 end_offset{0.0};
    double length_mm = 0.0;  ///< while nothing has slid
    double sense = 0.0;      ///< of its length, by what slides
    std::vector<Follow> follows;
  };

  void add_line(const MovingLine& line, const std::vector<Carrier>& carriers);
  void follow(Line& line, std::size_t carrier, bool at_end);
  void coast(double seconds, std::span<const LineEnds> ends, std::span<const Vec3> held);
  void follow_carriers();
  double evaluate(double seconds);
  bool is_step_too_long(double seconds) const;  ///< for an impact
  void factor(double seconds);
  void correct();

  double tolerance_;
  double weight_N_ = 0.0;
  std::vector<Line> lines_;
  std::vector<CarrierMotion> carriers_;
  std::vector<std::size_t> first_unknown_;  ///< of each carrier
  std::vector<double> left_;                ///< of the carriers' equations
  BandedSymmetric matrix_;                  ///< of the carriers' unknowns
  double factored_s_ = 0.0;                 ///< step for which the factors were made; 0: none
};

}  // namespace bight::rod
