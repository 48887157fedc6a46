#pragma once
// What carries lines and gives way - a trolley, a boom, an elastic cord, a sheave - over a step of
// rod/rod_motion.h: where it gets to, the forces that are left on it, and how these change.

#include <cstddef>
#include <span>
#include <variant>

#include "base/vec.h"
#include "rod/banded.h"

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

/// Stays where it is held and lets a line slide over it without friction: the first line on it
/// becomes longer, a second one shorter. Without a second one something else pulls there. The links
/// of each keep one length all the while: what the line's own sliding adds to its momentum is left
/// out, and the mass of a joint follows the links in its weight only.
struct Sheave {
  double pull_N = 0.0;  ///< against the first line's becoming longer, while nothing has slid
  double pull_less_N_mm = 0.0;
  double slid_mm = 0.0;  ///< into the first line, at the start of the motion
};

/// Places are those at the start of the motion; they move with what holds the carrier.
struct Carrier {
  Vec3 at{0.0};
  double mass_kg = 0.0;  ///< >= 0; of a sheave: of what moves with the line that slides over it
  std::variant<Track, Arm, Cord, Sheave> way;
};

class CarrierMotion {
 public:
  explicit CarrierMotion(const Carrier& carrier);

  /// Ways that it can go: along its track; X and Y of an arm's tip, then the arm's tension; X, Y
  /// and Z on a cord; what slides over a sheave.
  std::size_t unknowns() const;
  Vec3 direction(std::size_t unknown) const;  ///< 0 where its place does not change
  bool is_sheave() const { return std::holds_alternative<Sheave>(carrier_.way); }

  /// Begins a step, or begins it again: where it gets to without forces. `held`: how far what holds
  /// it has moved since the start of the motion.
  void coast(double seconds, const Vec3& held);
  const Vec3& next() const { return next_; }
  double next_slid_mm() const { return next_slid_; }

  /// Adds to the forces of the lines along the unknowns, N, and to the arm's length, mm, what the
  /// carrier itself leaves; returns the size of that, N, an error of length counted as a share of
  /// `weight_N`.
  double evaluate(double seconds, double weight_N, std::span<double> left) const;
  /// Adds the derivative of what evaluate() adds, the first unknown at `first`.
  void add_slopes(double seconds, std::size_t first, BandedSymmetric& matrix) const;
  void apply(std::span<const double> change);
  void finish(double seconds);

  const Vec3& place() const { return place_; }
  double slid_mm() const { return slid_; }
  const Vec3& velocity_mm_s() const { return velocity_; }
  double energy_Nmm() const;
  double weight_N() const;  ///< of its mass
  double stretch() const;   ///< error of an arm's length, relative

 private:
  template <typename Way>
  const Way* way() const {
    return std::get_if<Way>(&carrier_.way);
  }
  std::size_t places() const;  ///< of the unknowns, the first ones
  Vec3 pull_of_cord(const Cord& cord) const;

  Carrier carrier_;
  Vec3 held_{0.0};
  Vec3 next_held_{0.0};
  Vec3 place_{0.0};
  Vec3 velocity_{0.0};
  Vec3 next_{0.0};
  double slid_ = 0.0;
  double slid_mm_s_ = 0.0;
  double next_slid_ = 0.0;
  double arm_tension_N_ = 0.0;  ///< of the last step's middle
  double arm_tension_before_N_ = 0.0;
};

}  // namespace bight::rod
