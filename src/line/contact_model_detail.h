#pragma once
// The mechanics of a circle packing, inside the module only: circles and walls as elastic contacts,
// their energy, and the forces (multipliers) that make them rigid.
//
// All lengths are in units of a mean diameter (twice the mean wall distance). Variables of a
// packing of n circles: x0, y0, x1, y1, ..., then the measure s.

#include <optional>
#include <span>
#include <vector>

#include "base/vec.h"
#include "line/circle_packing.h"

namespace bight::line::packing {

using Values = std::vector<double>;

/// A contact: its violation (overlap, positive) and the derivatives of that.
struct Contact {
  std::size_t first = 0;
  std::optional<std::size_t> second;  ///< absent: a wall
  Vec2 normal{0.0};                   ///< by the centre of `first`; minus that for `second`
  double on_s = 0.0;                  ///< by s
  double violation = 0.0;
};

class ContactModel {
 public:
  explicit ContactModel(const PackingProblem& problem);

  std::size_t count() const { return count_; }
  PackingGoal goal() const { return goal_; }
  double unit_mm() const { return unit_; }
  double width() const { return width_; }
  double height() const { return height_; }
  double wall(std::size_t i) const { return wall_[i]; }
  bool fixed(std::size_t i) const { return fixed_[i] != 0; }
  Vec2 given(std::size_t i) const { return given_[i]; }

  /// s + stiffness/2 sum of (violation + force/stiffness)^2 over the positive ones, with gradient.
  double energy(std::span<const double> z, std::span<double> gradient, double stiffness) const;

  /// Sum of squared violations at z, forces not counted.
  double sum_of_squares(const Values& z) const;
  /// The s that the centres alone give: no wall (and for most_room no pair) is violated.
  double measured(const Values& z) const;
  /// Largest violation of what `measured` does not absorb.
  double overlap(const Values& z) const;
  /// Largest violation of a contact at the s that z itself carries.
  double violation(const Values& z) const;

  /// Factor by which centres are spread from the origin so that no pair overlaps; >= 1.
  double spread(const Values& z) const;

  void forget_forces();
  /// Each contact's force becomes what its spring bears at z.
  void load_forces(const Values& z, double stiffness);

  /// Least-norm Newton steps of z onto the contacts that bear force, until they touch exactly.
  void touch(Values& z) const;

 private:
  template <typename Visit>
  void visit_contacts(std::span<const double> z, double inverse_stiffness, Visit visit) const;
  double share(const Contact& p, const Contact& q) const;
  std::vector<Contact> bearing_contacts(const Values& z) const;

  PackingGoal goal_;
  std::size_t count_;
  double unit_ = 1.0;
  double width_ = 0.0;
  double height_ = 0.0;
  std::vector<double> wall_, apart_;
  std::vector<char> fixed_;
  std::vector<Vec2> given_;
  std::vector<double> pair_force_, wall_force_;
};

}  // namespace bight::line::packing
