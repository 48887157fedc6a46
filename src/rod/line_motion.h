#pragma once
// One line of rod/rod_motion.h over a step: where its joints get to, the forces that are left on
// them, and how these change. Its start, an end that is not free, and its length are set from
// outside.

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "rod/banded.h"
#include "rod/spatial_rod.h"

namespace bight::rod {

/// A spring that pushes the end of a line away from its start along a direction where it is less
/// than that farther on, however far it is pushed in.
struct Bumper {
  Vec3 along{1.0, 0.0, 0.0};  ///< unit vector
  double distance_mm = 0.0;
  double stiffness_N_m = 0.0;   ///< 0: none
  double longest_step_s = 0.0;  ///< that an impact stands: a small part of how long it lasts
};

/// How fast the ends and the length of a line change with something that carries it.
struct LineRates {
  Vec3 start{0.0};
  Vec3 end{0.0};
  double length = 0.0;
};

/// The end over which line comes and goes, and how long the line is at the start of the motion.
struct LineSlide {
  bool at_start = false;
  double length_mm = 0.0;
};

class LineMotion {
 public:
  /// At rest in the given joints; a problem as in rod/rod_motion.h. Its length is that of the line,
  /// or of one that slides the length for which the masses of the joints are made.
  LineMotion(const SpatialRodProblem& problem, std::span<const Vec3> joints, const Bumper& bumper,
             const std::optional<LineSlide>& slide);

  /// Begins a step, or begins it again: the joints get to where they would without forces.
  void coast(double seconds);
  void set_start(const Vec3& at) { next_.front() = at; }
  void set_end(const Vec3& at);  ///< no effect on a free end
  void set_length(double mm) { next_length_ = mm; }

  /// Computes what is left of the forces; returns the largest, N, with the stretch of links counted
  /// as a share of `weight_N`. Forces on a start or end that is set do not count.
  double evaluate(double seconds, double weight_N);
  const Vec3& start_force_N() const { return force_.front(); }
  const Vec3& end_force_N() const { return force_.back(); }
  double length_force_N() const { return length_force_N_; }  ///< against becoming longer
  double force_along(const LineRates& rates) const;

  /// Makes the derivative of what evaluate() computes and factors it.
  void factor(double seconds);
  /// Of the joints' and links' equations by what moves with these rates; taken as symmetric.
  std::vector<double> column(const LineRates& rates, double seconds, double weight_N);
  void solve(std::span<double> right_hand_side) const { matrix_.solve(right_hand_side); }
  /// Of force_along(a) by what moves with b; column() of a length comes before.
  double corner(const LineRates& a, const LineRates& b) const;

  /// What has to change by Newton's method while ends and length stay.
  std::vector<double> correction() const;
  void apply(std::span<const double> change, double factor);

  /// True when the bumper is pressed, at the start of the step or where it has got to, and the step
  /// too long for that.
  bool is_step_too_long(double seconds) const;
  void finish(double seconds);  ///< the step is done

  const std::vector<Vec3>& points() const { return position_; }
  const std::vector<Vec3>& velocities_mm_s() const { return velocity_; }
  void set_velocities(std::span<const Vec3> mm_s);
  double energy_Nmm() const;
  double weight_N() const;
  double longest_stretch() const;  ///< largest error of a link's length, relative

 private:
  std::size_t links() const { return tension_.size(); }
  bool is_set(std::size_t joint) const;
  double link(double length_mm) const { return length_mm / static_cast<double>(links()); }
  double weight_N_mm() const;
  double height_of_slide(std::span<const Vec3> joints) const;
  double pressed(std::span<const Vec3> joints) const;
  Vec3 push_of_bumper() const;
  void add_bumper();
  void add(std::size_t row, std::size_t column, const Mat3& block);
  std::vector<double> equations() const;

  SpatialRodProblem problem_;
  Bumper bumper_;
  bool slides_ = false;
  bool slides_at_start_ = false;
  double stiffness_ = 0.0;  ///< EI, N mm^2
  std::vector<double> mass_kg_;
  double length_ = 0.0;
  double next_length_ = 0.0;
  std::vector<Vec3> position_;
  std::vector<Vec3> velocity_;
  std::vector<double> tension_;  ///< N, of the last step's middle
  std::vector<double> tension_before_;

  std::vector<Vec3> next_;
  std::vector<Vec3> force_;
  std::vector<double> stretch_;
  double length_force_N_ = 0.0;
  BandedSymmetric matrix_;
  /// Derivatives by the places of start and end, along X, Y and Z, and their own blocks.
  std::array<std::array<std::vector<double>, 3>, 2> end_columns_;
  std::array<Mat3, 2> end_corners_{Mat3(0.0), Mat3(0.0)};
  Mat3 between_ends_{0.0};
  double length_corner_ = 0.0;
};

}  // namespace bight::rod
